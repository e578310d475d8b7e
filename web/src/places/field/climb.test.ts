import { describe, expect, it } from 'vitest'
import type { Figure } from '../../types'
import { climbPicture, heightAt, wedge } from './climb'

const figure = { value: 57, low: 40, high: 103, measured_only: [55, 58], measured_published: [50, 70], kind: 'computed' } as unknown as Figure

describe('the climb from the side', () => {
  const picture = climbPicture(['hedge', 150, 8, 45], figure, 600, 150)!
  it('draws at least true heights and leaves room over what is needed', () => {
    expect(picture.taller).toBeGreaterThanOrEqual(1)
    expect(picture.far).toBeGreaterThan(picture.away)
  })
  it('gains the height just where it is said to be gained', () => {
    expect(heightAt(57, 57, 8)).toBeCloseTo(8, 9)
    expect(heightAt(10, 0, 8)).toBe(0)
  })
  it('is cut off at the top and ends over what stands there', () => {
    for (const [x, y] of wedge(40, 400, picture, 11)) {
      expect(y).toBeLessThanOrEqual(11 + 1e-9)
      expect(x).toBeLessThanOrEqual(150 + 1e-9)
    }
  })
  it('is not drawn when nothing stands ahead or nothing is known', () => {
    expect(climbPicture(null, figure, 600, 150)).toBeNull()
    expect(climbPicture(['hedge', 150, 8, 45], undefined, 600, 150)).toBeNull()
  })
})
