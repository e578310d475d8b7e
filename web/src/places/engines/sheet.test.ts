import { expect, test } from 'vitest'
import type { BenchRow, EngineSheet } from '../../types'
import { answer, banded, by, clock, inUnits, leverChart, minutes, percent } from './sheet'

const band = (value: number, low: number, high: number, unit = 'N') => ({ value, low, high, unit })
const plain = (words: string) => words.replaceAll('\u202f', ' ')

test('the last digit stands at the first figure of the standard uncertainty', () => {
  expect(plain(banded(band(33.98, 30.21, 38.55), 'metric').value)).toBe('34 N')
  expect(plain(banded(band(17.449, 16.984, 17.939), 'metric').band)).toBe('17.0 to 17.9 N')
  expect(plain(inUnits(band(1234.4, 800, 1700), 1, 'N').value)).toBe('1234 N')
  expect(plain(inUnits(band(2, 2, 2), 1, 'A').value)).toBe('2.000 A')
})

test('minutes, per cent and the clock of a timer', () => {
  expect(plain(minutes(band(1251.6, 821.2, 1841, 's')).band)).toBe('14 to 31 min')
  expect(plain(percent(band(0.1587, 0.0928, 0.2334, '1')).value)).toBe('16 %')
  expect(clock(150)).toBe('2:30')
  expect(clock(59.9)).toBe('0:59')
})

test('a change carries its sign, and no change is a word', () => {
  expect(plain(by(1.23, 'N', 'metric'))).toBe('+1.2 N')
  expect(plain(by(-0.3, 'kg', 'metric'))).toBe('−300 g')
  expect(by(0.001, 'N', 'metric')).toBe('the same')
})

test('the lever starts at nothing and is what the run found', () => {
  const run = { trial: 'a', levers: [{ lever: 0.5, share: 0.33, duty: 0.56 }, { lever: 1, share: 1, duty: 1 }] } as BenchRow
  const chart = leverChart(run)
  expect(chart.series.map((one) => [one.x, one.y])).toEqual([[[0, 50, 100], [0, 33, 100]], [[0, 50, 100], [0, 33, 100]]])
})

test('the answer leaves out what is not worked out', () => {
  const row = (id: string) => ({ id, words: '', thrust: band(12, 11, 13), amps: band(1, 1, 1, 'A'), volts: 10, duty: 1, available: 1 })
  const sheet = { match: [row('static_full'), row('static_tired')], flight: null, units: [{}, {}] } as unknown as EngineSheet
  expect(plain(answer(sheet, 'metric'))).toBe('On a full pack they push 12.0 N at rest, with 30 % left 12.0 N.')
  expect(plain(answer({ ...sheet, units: [{}] } as unknown as EngineSheet, 'metric'))).toContain('it pushes 12.0 N')
})
