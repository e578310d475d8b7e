import { expect, it } from 'vitest'
import type { MassRow, Moved, WeighingRecord } from '../../types'
import { columns, staggered, stepFor } from './along'
import { covers, entries, meant, partWords, shorter, told, weighedOf } from './rows'

const row = (part: string, used: number, state: MassRow['state'] = 'weighed', x = 0.5): MassRow => ({
  part, drawn: used, weighed: state === 'weighed' ? used : null, used, x, y: 0, z: 0, state,
})
const line = (number: number, part: string, mass: number, struck = false): WeighingRecord => ({
  line: number, part, mass, written: `${mass * 1000} g`, when: '', who: '', note: '', struck,
})

it('knows which pieces a name covers', () => {
  expect(covers('wing', 'wing.left')).toBe(true)
  expect(covers('wing.left', 'wing.left')).toBe(true)
  expect(covers('wing', 'winglet')).toBe(false)
})

it('joins pieces weighed together, keeps struck lines, leaves the others by themselves', () => {
  const rows = [row('tail.left', 0.08), row('tail.right', 0.08), row('fin', 0.09, 'drawn')]
  const found = entries(rows, [line(4, 'tail', 1.66, true), line(5, 'tail', 0.16)])
  expect(found.map((one) => one.name)).toEqual(['tail', 'fin'])
  expect(found[0]).toMatchObject({ weighed: true, used: 0.16, counts: { line: 5 } })
  expect(found[0]?.struck.map((one) => one.line)).toEqual([4])
  expect(found[1]?.counts).toBeUndefined()
})

it('lets a piece weighed by itself stand by itself', () => {
  const found = entries([row('gear.nose', 0.1), row('gear.main', 0.3)], [line(2, 'gear', 0.4), line(3, 'gear.nose', 0.1)])
  expect(found.map((one) => one.name)).toEqual(['gear.nose', 'gear'])
})

it('loses and doubles no mass, whatever is weighed', () => {
  const rows = ['wing.left', 'wing.right', 'fin', 'body'].map((part, i) => row(part, 0.1 * (i + 1), i % 2 ? 'weighed' : 'drawn'))
  for (const lines of [[], [line(2, 'wing', 0.3)], [line(2, 'wing.left', 0.1), line(3, 'body', 0.4)]]) {
    const total = entries(rows, lines).reduce((sum, one) => sum + one.used, 0)
    expect(total).toBeCloseTo(1.0, 12)
  }
  expect(columns(rows, 0.1).reduce((sum, one) => sum + one.mass, 0)).toBeCloseTo(1.0, 12)
})

it('counts what was weighed', () => {
  expect(weighedOf([row('a', 1), row('b', 2, 'stated')])).toEqual({ parts: 1, all: 2, mass: 1, whole: 3 })
})

it('finds the slip of a point, and none where there is none', () => {
  expect(meant(4.12, 0.13)).toBeNull()
  expect(meant(1.32, 0.13)).toBeCloseTo(0.132)
  expect(meant(0.0132, 0.13)).toBeCloseTo(0.132)
  expect(meant(0.14, 0.13)).toBeNull()
  expect(meant(NaN, 0.13)).toBeNull()
})

it('says names in words', () => {
  expect(partWords('wing.left')).toBe('Wing, left')
  expect(partWords('gear.main.right')).toBe('Main gear, right')
  expect(partWords('equipment.receiver')).toBe('Receiver')
})

it('says when a stick gets shorter, and is silent when it does not', () => {
  expect(shorter('balance', [0, 10], [0, 6.5])).toBe('The balance stick gets 35 % shorter.')
  expect(shorter('balance', [0, 10], [0, 10.1])).toBe('')
})

it('lays columns by kind, dark below, and joins both sides of one thing', () => {
  const found = columns([row('wing.left', 0.5), row('wing.right', 0.5), row('servo', 0.1, 'stated')], 0.1)
  expect(found).toHaveLength(1)
  expect(found[0]?.layers.map((one) => one.kind)).toEqual(['measured', 'published'])
  expect(found[0]?.parts).toEqual(['Wing', 'Servo'])
})

it('chooses a step that can be read', () => {
  expect(stepFor(1.65)).toBeCloseTo(0.1)
  expect(stepFor(3.2)).toBeCloseTo(0.2)
})

it('lays labels so that none touches another', () => {
  const wide = (text: string) => text.length * 7
  expect(staggered([{ x: 0, text: 'battery' }, { x: 20, text: 'nose' }, { x: 90, text: 'wing' }], wide)).toEqual([0, 1, 0])
})

it('tells weight and balance first, and how many figures more', () => {
  const moved = (kind: Moved['kind'], id: string, difference: string): Moved => ({
    kind, id, name: id === 'mass' ? 'Weight ready to fly' : id, unit: '', before: 1, after: 2, before_words: '', after_words: '', difference, band_before: null, band_after: null,
  })
  expect(told([])).toBe('Nothing moves.')
  expect(told([moved('figure', 'drag', '1 N more'), moved('figure', 'mass', '6 g more')])).toBe('Weight ready to fly 6 g more. 1 more figure moves.')
  expect(told([moved('finding', 'balance', 'Balances is now clear.')])).toBe('Balances is now clear.')
})
