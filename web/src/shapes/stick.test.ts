import { describe, expect, it } from 'vitest'
import { at, bandOfRow, bracket, nested, scaleFor, stick, stripes, stub, type Band, type Scale, type Shape } from './stick'

const scale: Scale = { low: 0, high: 10, left: 0, right: 200 }
const band: Band = { middle: 5, all: [2, 8], known: [3, 7], measured: [4, 6] }
const rects = (shapes: Shape[]) => shapes.filter((one) => one.tag === 'rect')

describe('stick', () => {
  it('lays hollow, striped and solid boxes at their values', () => {
    const boxes = rects(stick(band, scale, 20)).map((one) => [one.look, one.x, one.width])
    expect(boxes).toEqual([['hollow', 40, 120], ['striped', 60, 80], ['solid', 80, 40]])
  })
  it('puts the mark at the median, taller than the stick, with a halo below it', () => {
    const lines = stick(band, scale, 20).filter((one) => one.tag === 'line')
    expect(lines.map((one) => [one.look, one.x1, one.y1, one.y2])).toEqual([['halo', 100, 10, 30], ['mark', 100, 10, 30]])
  })
  it('never lets an inner interval stick out of an outer one', () => {
    const odd = nested({ middle: 5, all: [4, 6], known: [3, 9], measured: [0, 5.5] })
    expect(odd.known).toEqual([4, 6])
    expect(odd.measured).toEqual([4, 5.5])
  })
  it('is a mark alone when it has no length', () => {
    const point: Band = { middle: 5, all: [5, 5], known: [5, 5], measured: [5, 5] }
    expect(stick(point, scale, 20).map((one) => one.look)).toEqual(['mark'])
  })
  it('cuts an end beyond the scale with a notch and writes its value', () => {
    const long: Band = { ...band, all: [2, 40] }
    const shapes = stick(long, scale, 20, { words: (value) => `${value} m` })
    expect(shapes.filter((one) => one.look === 'notch')).toHaveLength(1)
    expect(shapes.find((one) => one.tag === 'text')).toMatchObject({ text: '40 m', anchor: 'end' })
  })
  it('points outwards when it lies wholly beyond the scale', () => {
    const far: Band = { middle: 30, all: [20, 40], known: [30, 30], measured: [30, 30] }
    expect(stick(far, scale, 20)).toEqual([{ tag: 'path', look: 'beyond', d: 'M191 14L200 20L191 26' }])
  })
  it('holds values that are not numbers inside the scale', () => {
    expect(at(scale, NaN)).toBe(0)
    expect(at(scale, Infinity)).toBe(200)
  })
})

describe('scaleFor', () => {
  it('holds band and limits with room, and is never of no length', () => {
    const [low, high] = scaleFor(band, [9])
    expect(low).toBeLessThan(2)
    expect(high).toBeGreaterThan(9)
    expect(scaleFor({ middle: 0, all: [0, 0], known: [0, 0], measured: [0, 0] })).toEqual([-1, 1])
    expect(scaleFor(null)).toEqual([0, 1])
  })
})

it('gives the same doubt the same length, whatever the quantity', () => {
  const about = (middle: number): Band => ({ middle, all: [0.95 * middle, 1.05 * middle], known: [middle, middle], measured: [middle, middle] })
  const share = (one: Band) => (one.all[1] - one.all[0]) / (scaleFor(one)[1] - scaleFor(one)[0])
  expect(share(about(8.6))).toBeCloseTo(share(about(0.004)))
  expect(share(about(8.6))).toBeCloseTo(1 / 6)
  const wide: Band = { middle: 6, all: [3, 12], known: [6, 6], measured: [6, 6] }
  expect(scaleFor(wide)[1]).toBeGreaterThan(12)
})

it('leaves a limit far away off the scale', () => {
  expect(scaleFor(band, [100])[1]).toBeLessThan(10)
})

describe('stripes', () => {
  it('stay inside their box', () => {
    const numbers = stripes(10, 5, 50, 12).match(/-?[\d.]+/g)?.map(Number) ?? []
    const xs = numbers.filter((_, i) => i % 2 === 0)
    const ys = numbers.filter((_, i) => i % 2 === 1)
    expect(numbers.length).toBeGreaterThan(8)
    expect(Math.min(...xs)).toBeGreaterThanOrEqual(10)
    expect(Math.max(...xs)).toBeLessThanOrEqual(60)
    expect(Math.min(...ys)).toBeGreaterThanOrEqual(5)
    expect(Math.max(...ys)).toBeLessThanOrEqual(17)
  })
})

it('reads the row of a finding, and nothing from evidence', () => {
  expect(bandOfRow([])).toBeNull()
  expect(bandOfRow([[-0.1, 0.2, 0.5], [0, 0.2, 0.4], [0.1, 0.2, 0.3]])).toEqual({
    middle: 0.2, all: [-0.1, 0.5], known: [0, 0.4], measured: [0.1, 0.3],
  })
})

it('draws the bracket below the stick and four different stubs', () => {
  expect(bracket([4, 6], scale, 20)).toMatchObject({ d: 'M80 30v5H120v-5' })
  const looks = (['measured', 'published', 'assumed', 'drawn'] as const).map((kind) => stub(kind)[0]?.look)
  expect(new Set(looks).size).toBe(4)
})
