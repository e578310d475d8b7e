/** The mesh as it comes over the wire, made ready for flat facets: three corners to a triangle, none shared. */
import type { PartClass } from './ask'

export interface Facets {
  /** Corners, nine numbers a triangle, m. */
  points: Float32Array
  /** Place on the pattern, six numbers a triangle, m: the facet laid on the plane it lies closest to. */
  places: Float32Array
  triangles: number
}

/** Reads u32 vertices, u32 triangles, f32 xyz a vertex, u32 three a triangle (little endian). */
export function facets(buffer: ArrayBuffer): Facets {
  const head = new DataView(buffer)
  const vertices = head.getUint32(0, true)
  const triangles = head.getUint32(4, true)
  const wanted = 8 + vertices * 12 + triangles * 12
  if (buffer.byteLength < wanted) throw new RangeError(`the picture has ${buffer.byteLength} bytes and should have ${wanted}`)
  const corners = new Float32Array(buffer, 8, vertices * 3)
  const index = new Uint32Array(buffer, 8 + vertices * 12, triangles * 3)
  const points = new Float32Array(triangles * 9)
  index.forEach((vertex, place) => points.set(corners.subarray(3 * vertex, 3 * vertex + 3), 3 * place))
  return { points, places: laid(points, triangles), triangles }
}

function laid(points: Float32Array, triangles: number): Float32Array {
  const places = new Float32Array(triangles * 6)
  for (let one = 0; one < triangles; one++) {
    const [u, v] = plane(points, 9 * one)
    for (let corner = 0; corner < 3; corner++) {
      places[6 * one + 2 * corner] = points[9 * one + 3 * corner + u] ?? 0
      places[6 * one + 2 * corner + 1] = points[9 * one + 3 * corner + v] ?? 0
    }
  }
  return places
}

/** The two axes of the plane that a triangle lies closest to. */
function plane(points: Float32Array, at: number): readonly [number, number] {
  const p = (corner: number, axis: number) => points[at + 3 * corner + axis] ?? 0
  const edge = (corner: number) => [0, 1, 2].map((axis) => p(corner, axis) - p(0, axis)) as [number, number, number]
  const [a, b] = [edge(1), edge(2)]
  const normal = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]].map(Math.abs)
  const [x = 0, y = 0, z = 0] = normal
  if (z >= x && z >= y) return [0, 1]
  return y >= x ? [0, 2] : [1, 2]
}

/** Middle of some triangles and the box that holds them. */
export function middle(points: Float32Array, first: number, count: number): [number, number, number] {
  const sum: [number, number, number] = [0, 0, 0]
  for (let at = 9 * first; at < 9 * (first + count); at += 3)
    for (const axis of [0, 1, 2] as const) sum[axis] += points[at + axis] ?? 0
  return sum.map((one) => one / Math.max(3 * count, 1)) as [number, number, number]
}

/** Least and greatest of each axis. */
export function box(points: Float32Array): { low: [number, number, number]; high: [number, number, number] } {
  const low: [number, number, number] = [Infinity, Infinity, Infinity]
  const high: [number, number, number] = [-Infinity, -Infinity, -Infinity]
  points.forEach((value, place) => {
    const axis = (place % 3) as 0 | 1 | 2
    low[axis] = Math.min(low[axis], value)
    high[axis] = Math.max(high[axis], value)
  })
  return { low, high }
}

/** Runs of triangles that share a class: first, count, class. */
export function runs(parts: readonly { first: number; count: number }[], of: readonly number[]): { first: number; count: number; kind: number }[] {
  return parts.map((one, index) => ({ first: one.first, count: one.count, kind: Math.max(of[index] ?? 0, 0) }))
}

/** Where the letter of each class stands: the middle of its part with most triangles. */
export function lettered(
  points: Float32Array, parts: readonly { first: number; count: number }[], of: readonly number[], classes: readonly PartClass[],
): { letter: string; at: [number, number, number] }[] {
  return classes.flatMap((one, kind) => {
    const own = parts.filter((_, index) => of[index] === kind)
    const largest = own.reduce<(typeof own)[number] | null>((best, next) => (best && best.count >= next.count ? best : next), null)
    return largest ? [{ letter: one.letter, at: middle(points, largest.first, largest.count) }] : []
  })
}

const SLIVER = 1e-4 // thinner than this beside its length
const FINE = 1e4 // corners closer than a tenth of a millimetre are one
const WIDE = 2 ** 17 // so that three coordinates within 6.5 m make one exact number

/**
 * Edges worth a line, six numbers each: where two facets meet at more than `angle`, or where a skin ends. Where two
 * strips of one surface stand end to end, their two end walls face each other and count for nothing.
 */
export function edges(points: Float32Array, angle = 0.5): Float32Array {
  const bend = Math.cos(angle)
  const known = new Map<number, number>()
  const corner = new Int32Array(points.length / 3)
  for (let at = 0; at < corner.length; at++) {
    let key = 0
    for (let axis = 0; axis < 3; axis++) key = key * WIDE + Math.round((points[3 * at + axis] ?? 0) * FINE) + WIDE / 2
    const found = known.get(key) ?? known.size
    known.set(key, found)
    corner[at] = found
  }
  const count = known.size
  const meeting = new Map<number, number[]>() // edge to the triangles that meet there, and one corner each
  for (let at = 0; at < corner.length; at++) {
    const next = at % 3 === 2 ? at - 2 : at + 1
    const [a, b] = [corner[at] ?? 0, corner[next] ?? 0]
    if (a === b) continue
    const key = Math.min(a, b) * count + Math.max(a, b)
    const own = meeting.get(key)
    if (own) own.push(at)
    else meeting.set(key, [at])
  }
  const lines: number[] = []
  for (const own of meeting.values()) if (seen(own.map((at) => normal(points, Math.floor(at / 3))), bend)) lines.push(...edge(points, own[0] ?? 0))
  return new Float32Array(lines)
}

type Vector = readonly [number, number, number]

const dot = (a: Vector, b: Vector) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2]

function seen(normals: (Vector | null)[], bend: number): boolean {
  const left = normals.filter((one) => one !== null)
  for (let one = left.length - 1; one > 0 && normals.length > 2; one--) {
    const facing = left.slice(0, one).findIndex((other) => dot(other, left[one] as Vector) < -0.999)
    if (facing < 0) continue
    left.splice(one, 1)
    left.splice(facing, 1)
    one = left.length
  }
  if (left.length === 1) return true
  return left.some((one, index) => left.slice(index + 1).some((other) => dot(one, other) < bend))
}

/** The unit normal; null for a sliver, whose normal means nothing. */
function normal(points: Float32Array, triangle: number): Vector | null {
  const p = (corner: number, axis: number) => points[9 * triangle + 3 * corner + axis] ?? 0
  const [ax, ay, az] = [p(1, 0) - p(0, 0), p(1, 1) - p(0, 1), p(1, 2) - p(0, 2)]
  const [bx, by, bz] = [p(2, 0) - p(0, 0), p(2, 1) - p(0, 1), p(2, 2) - p(0, 2)]
  const found: Vector = [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx]
  const length = Math.hypot(...found)
  const size = Math.max(Math.hypot(ax, ay, az), Math.hypot(bx, by, bz))
  if (length < SLIVER * size * size) return null
  return [found[0] / length, found[1] / length, found[2] / length]
}

function edge(points: Float32Array, at: number): number[] {
  const next = at % 3 === 2 ? at - 2 : at + 1
  return [at, next].flatMap((one) => [0, 1, 2].map((axis) => points[3 * one + axis] ?? 0))
}
