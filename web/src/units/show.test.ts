import { describe, expect, it } from 'vitest'
import cases from './cases.json'
import { digits, show, type System } from './show'

describe('show', () => {
  it.each(cases as [number, string, System, string][])('%d %s in %s', (value, unit, system, words) => {
    expect(show(value, unit, system)).toBe(words)
  })
  it('writes a dash for what is not finite', () => {
    expect(show(NaN, 'm')).toBe('\u2013')
    expect(show(null, 'm')).toBe('\u2013')
  })
})

it('rounds to tens with negative places', () => {
  expect(digits(1234, -1)).toBe('1230')
  expect(digits(-4, -1)).toBe('0')
})
