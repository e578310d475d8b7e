import { expect, test } from 'vitest'
import type { StrengthSheet } from '../../types'
import { answer, banded, caseRows, detailRows, materialRows, multiple, stateOf, twistRows } from './sheet'

const band = (value: number, low: number, high: number, unit = '1') => ({ value, low, high, unit })
const plain = (words: string | undefined) => (words ?? '').replaceAll('\u202f', ' ')

test('a multiple has the places its doubt allows; what nothing reaches is never reached', () => {
  expect(multiple(band(7.96, 5.52, 10.62))).toEqual({ value: '8', band: '6 to 11' })
  expect(multiple(band(2.6536, 1.836, 3.542))).toEqual({ value: '2.7', band: '1.8 to 3.5' })
  expect(multiple(band(600, 290, 1000)).value).toBe('never')
  expect(plain(multiple(band(91.9, 63.5, 134), 'g').band)).toBe('64 to more')
})

test('the whole band decides on which side it lies', () => {
  expect(stateOf(band(8, 5.5, 10), 4.5)).toBe('clear')
  expect(stateOf(band(5, 4, 7), 4.5)).toBe('crosses')
  expect(stateOf(band(3, 2, 4), 4.5)).toBe('short')
})

test('the answer names what breaks first, and says when nobody has shown that it holds', () => {
  const sheet = { load_factor: band(8, 4, 11), needed: 4.5, first: 'stick crushing', modes: [{ mode: 'stick crushing', first: 0.64, place: 0 }] } as unknown as StrengthSheet
  expect(answer(sheet)).toContain('nobody has shown that it holds')
  expect(answer(sheet)).toContain('at its middle, in 64 of 100 draws')
  expect(answer({ ...sheet, load_factor: null })).toBe('')
})

test('rows carry units, bands and states', () => {
  const [one] = caseRows([{ id: 'a', words: 'pull', factor: 3, speed: null, root: 19.57, joints: { outer: 4.5 }, holds: band(2.65, 1.2, 3.5), needs: 1.5, weakest: 'glue line', says: '' }], 'metric')
  expect(one?.cells.map((cell) => plain(cell.value))).toEqual(['3.0 g', '19.6 N m', '2.6', '1.50', 'glue line'])
  expect(one?.cells[2]?.state).toBe('crosses')
  expect(plain(one?.cells[1]?.band)).toBe('outer 4.5 N m')
  const [part] = detailRows([{ id: 'strap', words: 'battery strap', need: 49, unit: 'N', holds: null, where: 'tray', says: [] }], 'metric')
  expect(part?.cells[1]?.value).toBe('not told by the drawing')
  expect(plain(banded(band(16.03, 11.56, 22.11, 'N m'), 'metric').value)).toBe('16 N m')
  const [twist] = twistRows([{ words: 'seams: closed', divergence: null, half_roll: 42.7, kept: -0.3, rule: 36.7, unsteady: null, omega: 0 }], 'metric')
  expect(twist?.cells.map((cell) => plain(cell.value))).toEqual(['none found', '43 m/s', 'none', '37 m/s', 'none found'])
  const [value] = materialRows([{ material: 'pine', what: 'modulus', value: 10600, low: 8200, high: 13700, unit: 'MPa', kind: 'published', source: 'a table', says: '' }])
  expect(plain(value?.cells[0]?.value)).toBe('10600 MPa')
})
