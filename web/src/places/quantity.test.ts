import { describe, expect, it } from 'vitest'
import { bare, stepped, written } from './quantity'

describe('lengths as written', () => {
  it('keeps the unit that was typed and every millimetre', () => {
    expect(written(0.36, 'mm')).toBe('360 mm')
    expect(written(1.301, 'm')).toBe('1.301 m')
    expect(written(0.0254, 'in')).toBe('1 in')
    expect(written(-0.0004, 'mm')).toBe('0 mm')
    expect(written(0.25, 'furlong')).toBe('250 mm')
  })
  it('comes back to the millimetre in any unit', () => {
    for (const [unit, metres] of [['mm', 0.001], ['cm', 0.01], ['m', 1], ['in', 0.0254], ['ft', 0.3048]] as const)
      for (let mm = -300; mm < 3000; mm += 37) expect(Math.abs(Number.parseFloat(written(mm / 1000, unit)) * metres - mm / 1000)).toBeLessThan(0.0005)
  })
  it('writes points of a table as bare numbers', () => {
    expect(bare(30.48, 'ft')).toBe('100')
    expect(bare(-12.5, 'm')).toBe('-12.5')
  })
  it('steps to whole steps', () => {
    expect(stepped(0.36049, 0.001)).toBeCloseTo(0.36, 9)
    expect(stepped(3.3, 0)).toBe(3.3)
  })
})
