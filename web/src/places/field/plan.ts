/** The field from above, north up: site axes to picture, trees as circles, fences with teeth, what a camera sees. */
import type { Field, PathRecord, SiteRecord } from '../../types'

export type XY = readonly [number, number]

/** From site axes (m) to the picture (px). */
export interface Map2 {
  scale: number
  width: number
  height: number
  put(point: readonly number[]): XY
  /** Site vector of a vector on the picture, m. */
  back(vector: XY): XY
  /** Unit vector on the picture of a unit vector of the site. */
  turn(vector: readonly number[]): XY
}

const PAD = 16
const CROWN = { share: 0.2, least: 1.5, most: 5 }

/** Radius with which a tree is drawn, m: for the picture only. */
export function crown(height: number): number {
  return Math.min(Math.max(CROWN.share * height, CROWN.least), CROWN.most)
}

/** All places that must be on the picture. */
export function reach(site: SiteRecord): XY[] {
  return [
    ...site.outline,
    ...site.stands.map((one) => one.at),
    ...(site.runway ? [site.runway[0], site.runway[1]] : []),
    ...site.trees.flatMap((one) => one.points.flatMap(([x, y]) => corners(x, y, crown(one.height)))),
    ...(site.path?.outer ?? []),
  ]
}

function corners(x: number, y: number, room: number): XY[] {
  return [[x - room, y - room], [x + room, y + room]]
}

/** Turns the site so that north is up, and scales it to a width; no higher than `tallest`. */
export function mapped(points: readonly XY[], xBearing: number, width: number, tallest = 900): Map2 {
  // x runs along its bearing (true, clockwise from north), y to its left: east and north parts of both.
  const [sin, cos] = [Math.sin(xBearing), Math.cos(xBearing)]
  const turn = ([x = 0, y = 0]: readonly number[]): XY => [sin * x - cos * y, -(cos * x + sin * y)]
  const all = points.length ? points.map(turn) : ([[0, 0], [100, 100]] as XY[])
  const xs = all.map((one) => one[0])
  const ys = all.map((one) => one[1])
  const [left, top] = [Math.min(...xs), Math.min(...ys)]
  const [wide, tall] = [Math.max(Math.max(...xs) - left, 1), Math.max(Math.max(...ys) - top, 1)]
  const scale = Math.min((width - 2 * PAD) / wide, (tallest - 2 * PAD) / tall)
  const shift: XY = [(width - wide * scale) / 2 - left * scale, PAD - top * scale]
  return {
    scale,
    width,
    height: tall * scale + 2 * PAD,
    put: (point) => {
      const [x, y] = turn(point)
      return [x * scale + shift[0], y * scale + shift[1]]
    },
    turn,
    back: ([x, y]) => [(sin * x - cos * y) / scale, (-cos * x - sin * y) / scale],
  }
}

export function pathOf(map: Map2, points: readonly (readonly number[])[], closed = true): string {
  if (points.length === 0) return ''
  return `M${points.map((one) => map.put(one).map((v) => v.toFixed(1)).join(' ')).join('L')}${closed ? 'Z' : ''}`
}

/** Trees as circles along a line or an outline, one every one and a half crowns; a little unlike each other, always alike again. */
export function trees(points: readonly XY[], closed: boolean, height: number): { at: XY; radius: number }[] {
  const radius = crown(height)
  const line = closed && points.length > 2 ? [...points, points[0] as XY] : points
  const found: { at: XY; radius: number }[] = []
  let left = 0
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1] as XY, line[i] as XY]
    const long = Math.hypot(b[0] - a[0], b[1] - a[1])
    for (; left <= long; left += 1.5 * radius) {
      const share = long ? left / long : 0
      const unlike = 0.86 + 0.14 * Math.sin(12.9 * found.length + 3.1 * i)
      found.push({ at: [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])], radius: radius * unlike })
    }
    left -= long
  }
  return found.length ? found : points.map((at) => ({ at, radius }))
}

/** Teeth of a fence along a line on the picture: small triangles on one side, px. */
export function teeth(from: XY, to: XY, side: XY, gap = 14, size = 5): string {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]]
  const long = Math.hypot(dx, dy)
  if (!long) return ''
  const [ux, uy] = [dx / long, dy / long]
  const right = side[0] * -uy + side[1] * ux >= 0 ? 1 : -1
  const [nx, ny] = [-uy * right, ux * right]
  const parts: string[] = []
  for (let at = gap / 2; at < long; at += gap) {
    const [x, y] = [from[0] + ux * at, from[1] + uy * at]
    parts.push(`M${(x - ux * size * 0.8).toFixed(1)} ${(y - uy * size * 0.8).toFixed(1)}L${(x + ux * size * 0.8).toFixed(1)} ${(y + uy * size * 0.8).toFixed(1)}L${(x + nx * size).toFixed(1)} ${(y + ny * size).toFixed(1)}Z`)
  }
  return parts.join('')
}

/** Where a camera looks, as far as its words say it: at a thing the plan knows, or along the runway; null when unknown. */
export function looksAt(site: SiteRecord, words: string, liftOff: XY | null): XY | null {
  const said = words.toLowerCase()
  if (/lift/.test(said) && liftOff) return liftOff
  if (/runway|strip/.test(said) && site.runway) return liftOff ?? middleOf([site.runway[0], site.runway[1]])
  if (/middle|figure|eight|oval|pattern/.test(said) && site.path) return site.path.centre
  const stand = site.stands.find((one) => said.includes(one.name.replaceAll('_', ' ')))
  return stand ? stand.at : site.path ? site.path.centre : null
}

export function middleOf(points: readonly XY[]): XY {
  const sum = points.reduce<[number, number]>((all, [x, y]) => [all[0] + x, all[1] + y], [0, 0])
  return [sum[0] / Math.max(points.length, 1), sum[1] / Math.max(points.length, 1)]
}

/** The point of a line at a share of its length. */
export function along(points: readonly XY[], share: number): XY {
  const long = points.slice(1).map((one, i) => Math.hypot(one[0] - points[i]![0], one[1] - points[i]![1]))
  let left = share * long.reduce((sum, one) => sum + one, 0)
  for (const [i, own] of long.entries()) {
    const [a, b] = [points[i] as XY, points[i + 1] as XY]
    if (left <= own && own > 0) return [a[0] + (left / own) * (b[0] - a[0]), a[1] + (left / own) * (b[1] - a[1])]
    left -= own
  }
  return points.at(-1) ?? [0, 0]
}

/** A place where words may stand, px: as SVG sets them, turned upright or not. */
export interface Spot {
  x: number
  y: number
  anchor: 'start' | 'middle' | 'end'
  upright?: boolean
}

export interface Box {
  left: number
  top: number
  right: number
  bottom: number
}

/** About how much room words take at a spot, px. */
export function room(spot: Spot, words: string): Box {
  const wide = 7.4 * words.length + 4
  const before = spot.anchor === 'start' ? 0 : spot.anchor === 'end' ? wide : wide / 2
  if (spot.upright) return { left: spot.x - 12, right: spot.x + 6, top: spot.y - wide / 2, bottom: spot.y + wide / 2 }
  return { left: spot.x - before, right: spot.x - before + wide, top: spot.y - 12, bottom: spot.y + 5 }
}

function overlap(a: Box, b: Box): number {
  return Math.max(0, Math.min(a.right, b.right) - Math.max(a.left, b.left)) * Math.max(0, Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top))
}

/** Places words one after the other where they cover least of what stands there already; earlier spots are liked more. */
export function settle<T extends { words: string; spots: readonly Spot[] }>(items: readonly T[], taken: readonly Box[], width: number, height: number): (T & { spot: Spot })[] {
  const full = [...taken]
  return items.flatMap((item) => {
    let best: Spot | null = null
    let least = Infinity
    for (const [order, spot] of item.spots.entries()) {
      const own = room(spot, item.words)
      const outside = Math.max(0, -own.left, own.right - width, -own.top, own.bottom - height)
      const cost = full.reduce((sum, one) => sum + overlap(own, one), 0) + 40 * outside + 2 * order
      if (cost < least) [best, least] = [spot, cost]
    }
    if (!best) return []
    full.push(room(best, item.words))
    return [{ ...item, spot: best }]
  })
}

/** Spots round a point, nearest first. */
export function around([x, y]: XY, gap = 9): Spot[] {
  return [gap, gap + 14, gap + 28].flatMap((far): Spot[] => [
    { x: x - far, y: y + 5, anchor: 'end' }, { x: x + far, y: y + 5, anchor: 'start' },
    { x: x - far, y: y - far, anchor: 'end' }, { x: x + far, y: y - far, anchor: 'start' },
    { x, y: y + far + 12, anchor: 'middle' }, { x, y: y - far - 3, anchor: 'middle' },
    { x: x - far, y: y + far + 10, anchor: 'end' }, { x: x + far, y: y + far + 10, anchor: 'start' },
  ])
}

/** A box about a point. */
export function about([x, y]: XY, reach: number): Box {
  return { left: x - reach, right: x + reach, top: y - reach, bottom: y + reach }
}

/** What a lens of an ordinary camera takes in, as a wedge on the picture, px. */
export function view(from: XY, to: XY, reachPx: number, angle = 0.5): string {
  const way = Math.atan2(to[1] - from[1], to[0] - from[0])
  const [a, b] = [way - angle / 2, way + angle / 2]
  const corner = (one: number) => `${(from[0] + reachPx * Math.cos(one)).toFixed(1)} ${(from[1] + reachPx * Math.sin(one)).toFixed(1)}`
  return `M${from[0].toFixed(1)} ${from[1].toFixed(1)}L${corner(a)}A${reachPx.toFixed(1)} ${reachPx.toFixed(1)} 0 0 1 ${corner(b)}Z`
}

/** A point of site.toml that can be dragged: both of its numbers. */
export interface Grip {
  path: string
  name: string
  x: Field
  y: Field
  at: XY
}

/** Pairs the fields of site.toml into points: "outline.2.0" and "outline.2.1" are one. */
export function grips(fields: readonly Field[]): Grip[] {
  const found: Grip[] = []
  for (const x of fields) {
    if (x.file !== 'site.toml' || !x.handle || !x.path.endsWith('.0')) continue
    const path = x.path.slice(0, -2)
    const y = fields.find((one) => one.file === x.file && one.path === `${path}.1`)
    if (y?.handle && x.value !== null && y.value !== null) found.push({ path, name: nameOf(path), x, y, at: [x.value, y.value] })
  }
  return found
}

const ORDINAL = /^\d+$/

/** "Corner 3 of the field", "beginning of the runway", "poplars, point 1", "pilot". */
export function nameOf(path: string): string {
  const steps = path.split('.')
  const [first = '', second = '', third = ''] = steps
  const last = steps.at(-1) ?? ''
  const count = ORDINAL.test(last) ? Number(last) + 1 : 0
  if (first === 'outline') return `corner ${count} of the field`
  if (first === 'runway') return `${second === 'from' ? 'beginning' : 'end'} of the runway`
  if (first === 'trees') return `${second.replaceAll('_', ' ')}, point ${count}`
  if (first === 'stand') return second.replaceAll('_', ' ')
  if (first === 'plan' && third === 'centre') return `middle of the ${second}`
  if (first === 'plan' && second === 'take_off') return 'where the run begins'
  return steps.join(' ').replaceAll('_', ' ')
}

/** Length of a scale bar: the longest of 1, 2, 5 times a power of ten that fits, m. */
export function bar(scale: number, room: number): number {
  const power = 10 ** Math.floor(Math.log10(room / scale))
  return [5, 2, 1].map((one) => one * power).find((one) => one * scale <= room) ?? power
}

export type { PathRecord, SiteRecord }
