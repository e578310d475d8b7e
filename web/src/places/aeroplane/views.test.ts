import { describe, expect, it } from 'vitest'
import type { Field, Outline } from '../../types'
import { apart, arrow, dragged, lay, nearest, ownerOf, put, ringAt, ringsOf, type Ring } from './views'

const outlines: Outline[] = [
  { part: 'wing', view: 'plan', points: [[0.4, -1.3], [0.8, -1.3], [0.8, 1.3], [0.4, 1.3]], closed: true },
  { part: 'body', view: 'plan', points: [[0, 0.05], [1.7, 0.05]], closed: true },
  { part: 'body', view: 'side', points: [[0, -0.1], [1.7, 0.4]], closed: true },
]
const field = (path: string, over: Partial<NonNullable<Field['handle']>> = {}): Field => ({
  file: 'aeroplane.toml', path, name: path, group: '', text: '360 mm', value: 0.36, unit: 'm', dimension: 'length', written: 'mm', says: '',
  defaulted: false, required: false, choices: [], line: 1, least: 0, most: null,
  handle: { view: 'plan', at: [0.8, 0.5, 0], along: [1, 0, 0], per: 1, step: 0.001, ...over },
})
const ring = (over = {}): Ring => ringsOf([field('wing.stations.0.chord', over)])[0]!

describe('plan and side', () => {
  it('has one scale for both views and keeps them on the sheet', () => {
    for (const width of [320, 390, 560, 686, 1000]) {
      const sheet = lay(outlines, width, 0.26)
      for (const box of [sheet.boxes.plan, sheet.boxes.side]) {
        expect(box[0]).toBeGreaterThanOrEqual(20)
        expect(box[2]).toBeLessThanOrEqual(width - 20)
        expect(box[3]).toBeLessThan(sheet.height)
      }
      expect((sheet.boxes.plan[2] - sheet.boxes.plan[0]) / 2.6).toBeCloseTo(sheet.scale, 6)
      expect((sheet.boxes.side[2] - sheet.boxes.side[0]) / 1.7).toBeCloseTo(sheet.scale, 6)
    }
  })
  it('puts the nose up in the plan and left in the side view', () => {
    const sheet = lay(outlines, 686)
    expect(put(sheet, 'plan', [0, 0])[1]).toBeLessThan(put(sheet, 'plan', [0, 1])[1])
    const nose = ringAt(sheet, ring({ view: 'side', at: [0, 0, 0] }), 0.36)
    const tail = ringAt(sheet, ring({ view: 'side', at: [1, 0, 0] }), 0.36)
    expect(nose[0]).toBeLessThan(tail[0])
  })
  it('a ring stands under the pointer that dragged it, to the step', () => {
    const sheet = lay(outlines, 686)
    for (const over of [{}, { along: [0, 1, 0] as [number, number, number], per: 2 }, { view: 'side' as const, along: [0, 0, 1] as [number, number, number] }]) {
      const own = ring(over)
      const from = ringAt(sheet, own, own.value)
      const value = dragged(sheet, own, own.value, [13, 17])
      const to = ringAt(sheet, own, value)
      const [x, y] = own.view === 'side' || !own.handle.along[1] ? [0, 17] : [13, 0]
      expect(to[0] - from[0]).toBeCloseTo(x, 0)
      expect(to[1] - from[1]).toBeCloseTo(y, 0)
      expect(Math.abs(value / 0.001 - Math.round(value / 0.001))).toBeLessThan(1e-6)
    }
  })
  it('arrows move a ring the way they point, and mean more or less across it', () => {
    const aft = ring()
    expect(arrow(aft, 'ArrowDown')).toBe(1)
    expect(arrow(aft, 'ArrowUp')).toBe(-1)
    expect(arrow(aft, 'ArrowRight')).toBe(1)
    const up = ring({ view: 'side', along: [0, 0, 1] })
    expect(arrow(up, 'ArrowUp')).toBe(1)
    const right = ring({ along: [0, 1, 0], per: 2 })
    expect(arrow(right, 'ArrowRight')).toBe(1)
    expect(arrow(right, 'ArrowLeft')).toBe(-1)
    expect(arrow(aft, 'a')).toBeNull()
  })
  it('takes the nearest ring within reach', () => {
    const rings = [{ at: [0, 0] as const }, { at: [30, 0] as const }]
    expect(nearest(rings, [20, 0])).toBe(rings[1])
    expect(nearest(rings, [0, 40])).toBeNull()
  })
  it('rings that lie upon each other step aside and keep the place they belong to', () => {
    const found = apart([{ at: [0, 0] as const }, { at: [0, 0] as const }, { at: [1, 1] as const }, { at: [90, 0] as const }], 13)
    found.forEach((one, i) => found.slice(i + 1).forEach((other) => expect(Math.hypot(one.at[0] - other.at[0], one.at[1] - other.at[1])).toBeGreaterThanOrEqual(12.9)))
    expect(found[3]!.at).toEqual([90, 0])
    expect(found[1]!.from).toEqual([0, 0])
  })
  it('names what a ring belongs to', () => {
    expect(ownerOf(field('wing.stations.0.chord'))).toBe('wing')
    expect(ownerOf(field('gear.nose.x'))).toBe('gear nose')
  })
})
