/**
 * A number as a stick: how long says how sure, how filled says how it is known. Numbers in, shapes out.
 *
 * Ends are the 2.5 and 97.5 per cent points of the draws, the tall mark the median. Solid: what would remain if every
 * published and assumed input were at its median; solid and striped: if every assumed input were; all: all.
 */
import type { Figure } from '../types'

export type Pair = readonly [number, number]

/** A median with three nested intervals. */
export interface Band {
  middle: number
  all: Pair
  known: Pair
  measured: Pair
}

/** Values `low` to `high` laid from `left` to `right`, in px. */
export interface Scale {
  low: number
  high: number
  left: number
  right: number
}

export type Look =
  | 'hair' | 'hollow' | 'striped' | 'stripes' | 'solid' | 'plain' | 'halo' | 'mark'
  | 'notch' | 'beyond' | 'bracket' | 'bad' | 'post' | 'teeth' | 'label'

export type Shape =
  | { tag: 'rect'; look: Look; x: number; y: number; width: number; height: number }
  | { tag: 'line'; look: Look; x1: number; y1: number; x2: number; y2: number }
  | { tag: 'path'; look: Look; d: string }
  | { tag: 'text'; look: Look; x: number; y: number; anchor: 'start' | 'middle' | 'end'; text: string }

const OVER = 4 // the middle mark stands taller than the stick by this on both sides
const SHORT = 8 // below this length the halo would eat the stick: the mark stands alone
const PITCH = 5 // of the stripes, measured across them

/** `inner` held inside `outer`. */
export function clipped(inner: Pair, outer: Pair): Pair {
  const low = Math.min(Math.max(inner[0], outer[0]), outer[1])
  return [low, Math.max(low, Math.min(inner[1], outer[1]))]
}

/** The band with each inner interval clipped to the next outer one. */
export function nested(band: Band): Band {
  const known = clipped(band.known, band.all)
  return { ...band, known, measured: clipped(band.measured, known) }
}

/** The band of a figure of the study; null for a drawn number or one without a band. */
export function bandOf(figure: Figure | undefined): Band | null {
  if (!figure || figure.kind === 'drawn' || figure.low == null || figure.high == null) return null
  const point: Pair = [figure.value, figure.value]
  const measured = figure.measured_only ?? point
  return nested({
    middle: figure.value,
    all: [figure.low, figure.high],
    known: figure.measured_published ?? measured,
    measured,
  })
}

/** The band of a finding's row on the fence scale; null for evidence. Its three triples are low, middle, high. */
export function bandOfRow(rows: readonly (readonly number[])[] | undefined): Band | null {
  const [all, known, measured] = rows ?? []
  if (!all || !known || !measured) return null
  const pair = (row: readonly number[]): Pair => [row[0] ?? NaN, row[2] ?? NaN]
  return nested({ middle: all[1] ?? NaN, all: pair(all), known: pair(known), measured: pair(measured) })
}

/** Place of a value, also beyond the ends. */
export function free(scale: Scale, value: number): number {
  return scale.left + ((value - scale.low) / (scale.high - scale.low)) * (scale.right - scale.left)
}

/** Place of a value, held inside the scale. Values that are not numbers stand at the left. */
export function at(scale: Scale, value: number): number {
  const place = free(scale, value)
  return Number.isNaN(place) ? scale.left : Math.min(Math.max(place, scale.left), scale.right)
}

const AROUND = 0.3 // a scale reaches at least this part of the middle to both sides, so that longer means less sure
const FAR = 1 // a limit farther from the middle than this part of it is left off the scale

/**
 * Ends of a scale about a band: three tenths of the middle to both sides, more where band or limits need it. Two sticks
 * on such scales can be compared by eye: a tenth of doubt is as long for a speed as for a weight. Never of no length.
 */
export function scaleFor(band: Band | null, limits: readonly number[] = []): Pair {
  const values = [...(band ? [...band.all, band.middle] : []), ...limits].filter(Number.isFinite)
  if (values.length === 0) return [0, 1]
  const middle = band && Number.isFinite(band.middle) ? band.middle : (Math.min(...values) + Math.max(...values)) / 2
  const near = limits.filter((one) => Number.isFinite(one) && (!band || Math.abs(one - middle) <= FAR * Math.abs(middle)))
  const farthest = Math.max(0, ...[...(band?.all ?? []), ...near].filter(Number.isFinite).map((one) => Math.abs(one - middle)))
  const reach = Math.max(AROUND * Math.abs(middle), 1.2 * farthest) || 1
  return [middle - reach, middle + reach]
}

/** The hairline of the whole scale. */
export function hairline(scale: Scale, y: number): Shape {
  return { tag: 'line', look: 'hair', x1: scale.left, y1: y, x2: scale.right, y2: y }
}

/** One path of stripes at 45 degrees, cut to a box. */
export function stripes(x: number, y: number, width: number, height: number, pitch = PITCH): string {
  const step = pitch * Math.SQRT2
  const parts: string[] = []
  for (let foot = Math.ceil((x - height) / step) * step; foot < x + width; foot += step) {
    const from = Math.max(foot, x)
    const to = Math.min(foot + height, x + width)
    if (to - from < 0.3) continue
    parts.push(`M${round(from)} ${round(y + height - (from - foot))}L${round(to)} ${round(y + height - (to - foot))}`)
  }
  return parts.join('')
}

/** Options of a stick: its height, and words for an end that lies beyond the scale. */
export interface StickOptions {
  height?: number
  words?: (value: number) => string
}

/** A stick centred on height `y`: hollow, striped, solid, notches, mark. */
export function stick(band: Band, scale: Scale, y: number, options: StickOptions = {}): Shape[] {
  const height = options.height ?? 12
  const inside = nested(band)
  const [low, high] = span(scale, inside.all)
  if (free(scale, inside.all[0]) > scale.right || free(scale, inside.all[1]) < scale.left) return beyond(inside, scale, y, height)
  if (high - low < 1.5) return mark(at(scale, inside.middle), y, height, false)
  const top = y - height / 2
  const found: Shape[] = [{ tag: 'rect', look: 'hollow', x: low, y: top, width: high - low, height }]
  found.push(...striped(span(scale, inside.known), top, height))
  found.push(...solid(span(scale, inside.measured), top, height))
  found.push(...notches(inside, scale, y, height, options.words))
  found.push(...mark(at(scale, inside.middle), y, height, high - low >= SHORT))
  return found
}

/** A stick that lies wholly beyond the scale: a bar at that end with a point outwards. */
function beyond(band: Band, scale: Scale, y: number, height: number): Shape[] {
  const out = free(scale, band.all[0]) > scale.right
  const end = out ? scale.right : scale.left
  const into = out ? -1 : 1
  return [{ tag: 'path', look: 'beyond', d: `M${end + into * 9} ${y - height / 2}L${end} ${y}L${end + into * 9} ${y + height / 2}` }]
}

function span(scale: Scale, pair: Pair): Pair {
  return [at(scale, pair[0]), at(scale, pair[1])]
}

function striped([low, high]: Pair, top: number, height: number): Shape[] {
  if (high - low < 1) return []
  return [
    { tag: 'rect', look: 'striped', x: low, y: top, width: high - low, height },
    { tag: 'path', look: 'stripes', d: stripes(low, top, high - low, height) },
  ]
}

function solid([low, high]: Pair, top: number, height: number): Shape[] {
  return high - low < 1 ? [] : [{ tag: 'rect', look: 'solid', x: low, y: top, width: high - low, height }]
}

/** The upright mark of a middle, or of an exact number that has no stick. */
export function mark(x: number, y: number, height = 12, halo = false): Shape[] {
  const line = { tag: 'line', x1: x, x2: x, y1: y - height / 2 - OVER, y2: y + height / 2 + OVER } as const
  return halo ? [{ ...line, look: 'halo' }, { ...line, look: 'mark' }] : [{ ...line, look: 'mark' }]
}

function notches(band: Band, scale: Scale, y: number, height: number, words?: (value: number) => string): Shape[] {
  const found: Shape[] = []
  const ends = [[band.all[0], scale.left, 1], [band.all[1], scale.right, -1]] as const
  for (const [value, end, into] of ends) {
    if (value >= Math.min(scale.low, scale.high) && value <= Math.max(scale.low, scale.high)) continue
    const top = y - height / 2 - 1
    const low = y + height / 2 + 1
    found.push({ tag: 'path', look: 'notch', d: `M${end} ${top}L${end + into * 5} ${y}L${end} ${low}` })
    if (words && Number.isFinite(value))
      found.push({ tag: 'text', look: 'label', x: end, y: top - 4, anchor: into > 0 ? 'start' : 'end', text: words(value) })
  }
  return found
}

/** The bracket under a stick: the band at another time. */
export function bracket(pair: Pair, scale: Scale, y: number, height = 12): Shape {
  const [low, high] = span(scale, pair)
  const top = y + height / 2 + 4
  return { tag: 'path', look: 'bracket', d: `M${low} ${top}v5H${high}v-5` }
}

export type Kind = 'measured' | 'published' | 'assumed' | 'drawn'

/** The small picture of a kind, 20 x 12: solid, striped, hollow; a cross for drawn. */
export function stub(kind: Kind): Shape[] {
  if (kind === 'drawn')
    return [
      { tag: 'line', look: 'mark', x1: 4, y1: 6, x2: 16, y2: 6 },
      { tag: 'line', look: 'mark', x1: 10, y1: 0, x2: 10, y2: 12 },
    ]
  if (kind === 'measured') return solid([1, 19], 1, 10)
  if (kind === 'published') return striped([1, 19], 1, 10)
  return [{ tag: 'rect', look: 'hollow', x: 1, y: 1, width: 18, height: 10 }]
}

function round(value: number): number {
  return Math.round(value * 100) / 100
}
