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
