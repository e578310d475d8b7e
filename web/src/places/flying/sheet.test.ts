import { describe, expect, it } from 'vitest'
import type { Band, HandlingSheet } from '../../types'
import { answer, fate, motions, trims } from './sheet'

const band = (value: number, low = value, high = value, unit = '1'): Band => ({ value, low, high, unit })
const N = '\u202f'

const sheet = {
  axes: '', cautions: [], charts: [], derivatives: [], fit: null, folded: null, inputs_hash: '', project: 'p', roll: [], says: [], proofs: [],
  schema: 'planewright/handling/1', sideslip: [], speed: 12, stale: false, stopped: [], version: '0', why: '',
  hinges: [
    { control: 'rudder', servo: 's', torque: 1, moment: band(0.5), margin: band(1.6, 1, 2.6), speed: 20, arm: 0.1, prove: band(0.6) },
    { control: 'aileron', servo: 's', torque: 1, moment: band(0.2), margin: band(3.1, 2, 5), speed: 20, arm: 0.1, prove: band(0.3) },
  ],
  limits: [{ id: 'cg_fore_limit_x', words: 'f', x: band(0.55) }, { id: 'cg_x', words: 'b', x: band(0.571) }, { id: 'cg_aft_limit_x', words: 'a', x: band(0.592) }],
  motions: [
    { speed: 10, motion: 'spiral', period: null, damping: null, half: band(-10, 20, -4, 's') },
    { speed: 8, motion: 'spiral', period: null, damping: null, half: band(0.5, 0.4, 0.7, 's') },
  ],
  stall: { lift: 1.2, alpha: 0.2, elevator: -0.1, begins: 0.2, surface: 'wing', part: 0.61, tip_share: 0.5, aileron_margin: null, autorotates: null, drop: null, method: 'measured', outside: [], failed: 0, band: 0.1 },
  trim: [
    { speed: 12, power: 'level', alpha: band(0), elevator: band(0.1, 0, 0.2, 'rad'), lift: 0.5, drag: band(4), thrust: 4 },
    { speed: 9, power: 'level', alpha: band(0), elevator: band(-0.1, -0.2, 0, 'rad'), lift: 0.9, drag: band(4), thrust: 4 },
  ],
} as HandlingSheet

describe('the sheet in words', () => {
  it('tells how a motion ends, and that its band may not know', () => {
    expect(fate(band(0.5, 0.4, 0.7))).toBe(`halves in 0.50${N}s`)
    expect(fate(band(-10, 20, -4))).toBe(`doubles in 10${N}s, or dies out`)
    expect(fate(band(74, 7, -9))).toBe(`halves in 74${N}s, or grows`)
  })
  it('answers with the limits, the first strip and the weakest servo', () => {
    const said = answer(sheet, 'metric')
    expect(said).toContain(`from 550${N}mm to 592${N}mm`)
    expect(said).toContain(`lets go first at 61${N}% of the half span`)
    expect(said).toContain('that of the rudder, has 1.6 times')
  })
  it('puts speeds in order', () => {
    expect(trims(sheet, 'metric').rows.map((one) => one.speed)).toEqual([`9.0${N}m/s`, `12.0${N}m/s`])
    expect(motions(sheet, 'metric').speeds).toEqual([`8.0${N}m/s`, `10.0${N}m/s`])
  })
})
