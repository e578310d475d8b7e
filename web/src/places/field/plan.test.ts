import { describe, expect, it } from 'vitest'
import type { Field } from '../../types'
import { along, bar, crown, grips, mapped, nameOf, teeth, trees } from './plan'

const square = [[0, 0], [100, 0], [100, 100], [0, 100]] as const

describe('plan of the field', () => {
  it('has north up whatever way x runs', () => {
    // x along a bearing of 90 deg is east, so y (to its left) is north.
    const east = mapped(square, Math.PI / 2, 400)
    expect(east.put([0, 100])[1]).toBeLessThan(east.put([0, 0])[1])
    expect(east.put([100, 0])[0]).toBeGreaterThan(east.put([0, 0])[0])
    // x along 0 deg is north, y is west.
    const north = mapped(square, 0, 400)
    expect(north.put([100, 0])[1]).toBeLessThan(north.put([0, 0])[1])
    expect(north.put([0, 100])[0]).toBeLessThan(north.put([0, 0])[0])
  })
  it('comes back from the picture to the field', () => {
    for (const bearing of [0, 0.7, 2, 4.5]) {
      const map = mapped(square, bearing, 500)
      const [a, b] = [map.put([20, 30]), map.put([61, 12])]
      const [x, y] = map.back([b[0] - a[0], b[1] - a[1]])
      expect(x).toBeCloseTo(41, 6)
      expect(y).toBeCloseTo(-18, 6)
    }
  })
  it('stays on its sheet', () => {
    const map = mapped(square, 0.4, 390)
    for (const one of square) {
      const [x, y] = map.put(one)
      expect(x).toBeGreaterThanOrEqual(15.9)
      expect(x).toBeLessThanOrEqual(390 - 15.9)
      expect(y).toBeLessThanOrEqual(map.height - 15.9)
    }
  })
  it('stands trees along their line, none far from the next', () => {
    const found = trees([[0, 0], [100, 0]], false, 20)
    expect(found.length).toBeGreaterThan(10)
    found.slice(1).forEach((one, i) => expect(one.at[0] - found[i]!.at[0]).toBeLessThan(2 * crown(20)))
    expect(trees([[5, 5]], false, 3)).toHaveLength(1)
  })
  it('points the teeth of a fence to the side of the people', () => {
    const tips = (path: string) => [...path.matchAll(/L[\d.-]+ [\d.-]+L[\d.-]+ ([\d.-]+)Z/g)].map((one) => Number(one[1]))
    expect(tips(teeth([0, 50], [100, 50], [0, 1])).every((y) => y > 50)).toBe(true)
    expect(tips(teeth([0, 50], [100, 50], [0, -1])).every((y) => y < 50)).toBe(true)
    expect(tips(teeth([100, 50], [0, 50], [0, 1])).every((y) => y > 50)).toBe(true)
  })
  it('makes one grip of both numbers of a point, with a name', () => {
    const field = (path: string, value: number) => ({ file: 'site.toml', path, value, handle: {}, written: 'm' }) as unknown as Field
    const found = grips([field('outline.2.0', 5), field('outline.2.1', 6), field('runway.width', 12)])
    expect(found).toHaveLength(1)
    expect(found[0]).toMatchObject({ path: 'outline.2', at: [5, 6], name: 'corner 3 of the field' })
    expect(nameOf('trees.poplars.line.0')).toBe('poplars, point 1')
    expect(nameOf('stand.camera_1.at')).toBe('camera 1')
    expect(nameOf('plan.eight.centre')).toBe('middle of the eight')
  })
  it('walks along a line by its length', () => {
    expect(along([[0, 0], [10, 0], [10, 30]], 0.5)).toEqual([10, 10])
    expect(along([[3, 4]], 0.5)).toEqual([3, 4])
  })
  it('takes a round length for its bar', () => {
    expect(bar(2, 120)).toBe(50)
    expect(bar(1.3, 140)).toBe(100)
  })
})
