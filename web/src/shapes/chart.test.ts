import { expect, it } from 'vitest'
import type { Chart, Series } from '../types'
import { bandPath, ends, frame, linePath, points, sharedX, shortNote, tickDecimals } from './chart'

const series = (more: Partial<Series>): Series => ({
  words: 'lift', x: [0, 5, 10], y: [0, 20, 80], look: 'line', low: [], high: [], kind: 'measured', notes: [], ...more,
})
const axis = { words: 'speed', unit: 'm/s', low: null, high: null, zero: false }
const chart = (one: Series): Chart => ({ id: 'a', title: '', x: axis, y: { ...axis, zero: true }, series: [one], marks: [], stick: null, notes: [] })

it('puts zero on an axis that asks for it, and not on one that does not', () => {
  expect(ends({ ...axis, zero: true }, [5, 9])).toEqual([0, 9])
  expect(ends(axis, [5, 9])).toEqual([5, 9])
  expect(ends(axis, [])).toEqual([0, 1])
  expect(ends(axis, [3, 3])).toEqual([2, 4])
})

it('lays y upwards and holds the whole band', () => {
  const one = series({ low: [-5, 10, 60], high: [5, 30, 100] })
  const made = frame(chart(one), 600, 300)
  expect(made.y(0)).toBeGreaterThan(made.y(80))
  expect(made.y(100)).toBeGreaterThanOrEqual(0)
  expect(linePath(one, made)).toMatch(/^M0,/)
  expect(bandPath(one, made)).toMatch(/Z$/)
  expect(bandPath(series({}), made)).toBe('')
})

it('leaves out points that are not numbers and keeps the notes of the others', () => {
  const one = series({ y: [0, 1, 2], look: 'aside', notes: ['wind', '', 'slip'] })
  expect(points(one, frame(chart(one), 600, 300)).map((p) => p.note)).toEqual(['wind', '', 'slip'])
})

it('writes all ticks of an axis alike', () => {
  expect(tickDecimals([0, 0.5, 1])).toBe(1)
  expect(tickDecimals([0, 20, 40])).toBe(0)
  expect(tickDecimals([0, 0.25])).toBe(2)
  expect(tickDecimals([3])).toBe(0)
})

it('lays a fit and what is left of it on one scale', () => {
  const made = sharedX([chart(series({})), chart(series({ x: [-4, 14] }))])
  expect(made.map((one) => [one.x.low, one.x.high])).toEqual([[-4, 14], [-4, 14]])
})

it('shortens a long note to its row', () => {
  expect(shortNote('row 9: the figures look swapped for 983')).toBe('row 9')
  expect(shortNote('row 3: lorry passed')).toBe('row 3: lorry passed')
})
