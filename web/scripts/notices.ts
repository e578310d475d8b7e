import { existsSync, readFileSync, readdirSync } from 'node:fs'
import type { Plugin } from 'vite'

const root = new URL('../node_modules/', import.meta.url)

/** Licence text of one package of the page. */
function licence(name: string): string {
  const folder = new URL(`${name}/`, root)
  const file = readdirSync(folder).find((one) => /^licen[cs]e/i.test(one))
  return file ? readFileSync(new URL(file, folder), 'utf8').trim() : ''
}

/** The packages that end up in the page: those it names, and what these need. */
function packages(): string[] {
  const read = (path: URL) => JSON.parse(readFileSync(path, 'utf8')) as { dependencies?: Record<string, string> }
  const found = new Set(['svelte'])
  const todo = Object.keys(read(new URL('../package.json', import.meta.url)).dependencies ?? {})
  for (let name = todo.pop(); name; name = todo.pop()) {
    if (found.has(name) || !existsSync(new URL(`${name}/package.json`, root))) continue
    found.add(name)
    todo.push(...Object.keys(read(new URL(`${name}/package.json`, root)).dependencies ?? {}))
  }
  return [...found].sort()
}

/** Writes third-party.txt beside the page: minifying drops the licences' own comments. */
export function notices(): Plugin {
  return {
    name: 'notices',
    apply: 'build',
    generateBundle() {
      const texts = packages().map((name) => `${name}\n${'='.repeat(name.length)}\n\n${licence(name)}\n`)
      this.emitFile({ type: 'asset', fileName: 'third-party.txt', source: texts.join('\n\n') })
    },
  }
}
