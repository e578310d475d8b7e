import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'

const text = readFileSync(new URL('./tokens.css', import.meta.url), 'utf8')

/** Name and value of every token after `from`, up to the end of its block. */
function block(from: string): Record<string, string> {
  const start = text.indexOf(from) + from.length
  const body = text.slice(start, text.indexOf('}', start))
  return Object.fromEntries([...body.matchAll(/(--[\w-]+):\s*([^;]+);/g)].map((one) => [one[1], one[2]]))
}

it('has the same dark values whether the reader or the system asks', () => {
  const chosen = block('[data-light="dark"] {')
  expect(Object.keys(chosen).length).toBeGreaterThan(15)
  expect(block(':root:not([data-light="light"]) {')).toEqual(chosen)
})
