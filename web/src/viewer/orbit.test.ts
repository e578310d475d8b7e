import { describe, expect, it } from 'vitest'
import { eye, HIGHEST, HOME, keyed, LOWEST, said, turned, zoomed, NEAREST, FURTHEST } from './orbit'

describe('orbit', () => {
  it('keeps the eye at its distance whatever way it turns', () => {
    for (const aside of [-9, -1, 0, 2, 7])
      for (const up of [-2, 0, 3]) {
        const [x, y, z] = eye(turned(HOME, aside, up), [1, 2, 3], 5)
        expect(Math.hypot(x - 1, y - 2, z - 3)).toBeCloseTo(5, 9)
      }
  })
  it('never goes under the ground or over the top', () => {
    expect(turned(HOME, 0, 99).elevation).toBe(HIGHEST)
    expect(turned(HOME, 0, -99).elevation).toBe(LOWEST)
  })
  it('comes back after a whole turn', () => {
    expect(turned(HOME, 2 * Math.PI, 0).azimuth).toBeCloseTo(HOME.azimuth, 9)
  })
  it('holds its distance between two ends', () => {
    expect(zoomed(HOME, 1e-9).zoom).toBe(NEAREST)
    expect(zoomed(HOME, 1e9).zoom).toBe(FURTHEST)
  })
  it('turns by keys, further with Shift, and leaves other keys alone', () => {
    const near = keyed(HOME, 'ArrowRight', false)
    const far = keyed(HOME, 'ArrowRight', true)
    expect(near && far && Math.abs(far.azimuth - HOME.azimuth) > Math.abs(near.azimuth - HOME.azimuth)).toBe(true)
    expect(keyed(near ?? HOME, 'Home', false)).toEqual(HOME)
    expect(keyed(HOME, 'Tab', false)).toBeNull()
  })
  it('says where it looks from', () => {
    expect(said(HOME)).toBe('from in front on the left, a little above')
    expect(said({ ...HOME, azimuth: 0, elevation: 0 })).toBe('from behind, level')
    expect(said({ ...HOME, azimuth: Math.PI / 2, elevation: 1.5 })).toBe('from the right, from above')
  })
})
