import { expect, it } from 'vitest'
import type { Document, TableRecord, TrialKind, TrialRecord } from '../../types'
import { cell, livePlot, rowsWords } from './live'
import { day, rack, standing, waiting } from './rack'

const table = (heads: string[], ...rows: string[][]): TableRecord => ({ file: 'readings.csv', heads, rows, lines: rows.map((_, i) => i + 2), faults: [], set_aside: [] })
const trial = (more: Partial<TrialRecord>): TrialRecord => ({
  id: 'a', kind: 'bend', of: 'wing', date: '2026-04-11', planned: false, set_aside: '', done_by: {}, said_before: [], tables: [], charts: [], claims: [], says: [], cautions: [], ...more,
})
const kind = (name: string): TrialKind => ({ kind: name, words: `do ${name}`, of: ['wing'], columns: [], asks: [], cautions: [] })

it('reads cells as people write them', () => {
  expect(cell('1,5')).toBe(1.5)
  expect(cell(' -2.5 ')).toBe(-2.5)
  expect(cell('\u22123')).toBe(-3)
  expect(cell('1e3')).toBe(1000)
  for (const bad of ['', 'n/a', '1,2,3', '12:30', undefined]) expect(cell(bad)).toBeNaN()
})

it('plots out and back apart and leaves out rows without a number', () => {
  const chart = livePlot('vehicle', table(['heading', 'speed_kmh', 'front_N', 'rear_N'], ['out', '40', '3', '1'], ['back', '41', '2', '1'], ['out', '', '3', '3'], ['out', '50', 'x', '3']))
  expect(chart?.series.map((one) => [one.look, one.x, one.y])).toEqual([['out', [40], [4]], ['back', [41], [3]]])
})

it('plots both tips, and nothing where the columns are not there', () => {
  expect(livePlot('bend', table(['load_each_side_g', 'tip_left_mm', 'tip_right_mm'], ['0', '10', '12']))?.series).toHaveLength(2)
  expect(livePlot('bend', table(['a', 'b'], ['0', '10']))).toBeNull()
  expect(livePlot('swing', table(['a'], ['0']))).toBeNull()
})

it('hangs questions in the order in which the study would ask them', () => {
  const document = { tests: [{ name: 'thrust', settles: [], effects: [], minutes: 1, people: 1, says: '' }], trials: [] } as unknown as Document
  const found = rack([kind('bend'), kind('thrust')], [trial({ id: 'b', date: '2026-05-01' }), trial({ id: 'a' }), trial({ id: 'c', kind: 'odd' })], document)
  expect(found.map((one) => one.kind)).toEqual(['thrust', 'bend', 'odd'])
  expect(found[1]?.trials.map((one) => one.id)).toEqual(['a', 'b'])
  expect(found[2]?.plan).toBeUndefined()
})

it('says how a trial stands', () => {
  expect(standing(trial({ planned: true }), undefined)).toBe('planned')
  expect(standing(trial({ set_aside: 'wind' }), undefined)).toBe('set aside')
  expect(standing(trial({}), { state: 'taken in' } as never)).toBe('taken in')
  expect(waiting(null)).toEqual([])
})

it('writes dates and numbers of rows for people', () => {
  expect(day('2026-04-11')).toBe('11 April 2026')
  expect(day('soon')).toBe('soon')
  expect([rowsWords(1), rowsWords(2)]).toEqual(['1 row', '2 rows'])
})
