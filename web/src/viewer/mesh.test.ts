import { describe, expect, it } from 'vitest'
import { box, edges, facets, lettered, middle, runs } from './mesh'

type P = [number, number, number]

function wire(points: P[], faces: P[]): ArrayBuffer {
  const buffer = new ArrayBuffer(8 + 12 * points.length + 12 * faces.length)
  const head = new DataView(buffer)
  head.setUint32(0, points.length, true)
  head.setUint32(4, faces.length, true)
  points.flat().forEach((value, i) => head.setFloat32(8 + 4 * i, value, true))
  faces.flat().forEach((value, i) => head.setUint32(8 + 12 * points.length + 4 * i, value, true))
  return buffer
}

/** A box of a length along x from `from`, one wide and high, with both end walls. */
function bar(from: number, to: number): { points: P[]; faces: P[] } {
  const ring = (x: number): P[] => [[x, 0, 0], [x, 1, 0], [x, 1, 1], [x, 0, 1]]
  const sides: P[] = [0, 1, 2, 3].flatMap((a): P[] => {
    const b = (a + 1) % 4
    return [[a, a + 4, b + 4], [a, b + 4, b]]
  })
  return { points: [...ring(from), ...ring(to)], faces: [...sides, [0, 1, 2], [0, 2, 3], [4, 6, 5], [4, 7, 6]] }
}

function both(): ArrayBuffer {
  const [a, b] = [bar(0, 1), bar(1, 2)]
  return wire([...a.points, ...b.points], [...a.faces, ...b.faces.map((one) => one.map((i) => i + 8) as P)])
}

const length = (lines: Float32Array) => {
  let sum = 0
  for (let i = 0; i < lines.length; i += 6) sum += Math.hypot(lines[i + 3]! - lines[i]!, lines[i + 4]! - lines[i + 1]!, lines[i + 5]! - lines[i + 2]!)
  return sum
}

describe('mesh', () => {
  it('reads corners triangle by triangle', () => {
    const found = facets(wire([[0, 0, 0], [1, 0, 0], [0, 2, 0]], [[2, 0, 1]]))
    expect([...found.points]).toEqual([0, 2, 0, 0, 0, 0, 1, 0, 0])
    expect(found.triangles).toBe(1)
  })
  it('refuses bytes that are cut short', () => {
    expect(() => facets(wire([[0, 0, 0]], [[0, 0, 0]]).slice(0, 20))).toThrow(RangeError)
  })
  it('lays the pattern on the plane a facet lies closest to', () => {
    const level = facets(wire([[0, 0, 5], [1, 0, 5], [0, 1, 5]], [[0, 1, 2]]))
    expect([...level.places]).toEqual([0, 0, 1, 0, 0, 1])
    const wall = facets(wire([[0, 5, 0], [1, 5, 0], [0, 5, 1]], [[0, 1, 2]]))
    expect([...wall.places]).toEqual([0, 0, 1, 0, 0, 1])
  })
  it('draws the twelve edges of a box and no diagonal', () => {
    const one = bar(0, 1)
    expect(length(edges(facets(wire(one.points, one.faces)).points))).toBeCloseTo(12, 5)
  })
  it('draws no seam where two strips stand end to end', () => {
    // A bar of length two: four edges along it and two end walls.
    expect(length(edges(facets(both()).points))).toBeCloseTo(4 * 2 + 8, 5)
  })
  it('finds middle and box', () => {
    const { points } = facets(both())
    expect(box(points)).toEqual({ low: [0, 0, 0], high: [2, 1, 1] })
    expect(middle(points, 0, 12)[0]).toBeCloseTo(0.5, 5)
  })
  it('gives each class one letter, on its largest part', () => {
    const { points } = facets(both())
    const classes = [{ letter: 'A', words: '', pattern: 'plain', token: '', clear: false }, { letter: 'B', words: '', pattern: 'dots', token: '', clear: false }] as const
    const found = lettered(points, [{ first: 0, count: 12 }, { first: 12, count: 12 }], [0, 1], [...classes])
    expect(found.map((one) => one.letter)).toEqual(['A', 'B'])
    expect(found[0]!.at[0]).toBeLessThan(found[1]!.at[0])
    expect(runs([{ first: 0, count: 12 }], [1])).toEqual([{ first: 0, count: 12, kind: 1 }])
  })
})
