/** Chart-as-data laid out on px: scales, ticks, paths. The look is Chart.svelte's. */
import { nice, ticks } from 'd3-array'
import type { Axis, Chart, Series } from '../types'

/** A value's place in px along one axis. */
export interface Along {
  (value: number): number
  readonly ends: readonly [number, number]
}

export interface Frame {
  x: Along
  y: Along
  xTicks: number[]
  yTicks: number[]
}

/** Values from `ends` laid evenly from `from` to `to` px. */
export function along(ends: readonly [number, number], from: number, to: number): Along {
  const step = (to - from) / (ends[1] - ends[0])
  return Object.assign((value: number) => from + (value - ends[0]) * step, { ends })
}

/** Ends of one axis: as stated, else all data; zero on it where asked. */
export function ends(axis: Axis, values: readonly number[]): [number, number] {
  const finite = values.filter(Number.isFinite)
  let low = axis.low ?? Math.min(...finite, axis.zero ? 0 : Infinity)
  let high = axis.high ?? Math.max(...finite, axis.zero ? 0 : -Infinity)
  if (!Number.isFinite(low) || !Number.isFinite(high)) [low, high] = [0, 1]
  if (low === high) [low, high] = [low - 1, high + 1]
  return [low, high]
}

/** Scales for a drawing area `width` x `height` px; ends are rounded where the chart leaves them open. */
export function frame(chart: Chart, width: number, height: number): Frame {
  const xs = [...chart.series.flatMap((one) => one.x), ...chart.marks.map((one) => one.x), ...(chart.stick?.all ?? [])]
  const ys = chart.series.flatMap((one) => [...one.y, ...one.low, ...one.high])
  const x = along(rounded(chart.x, xs, 6), 0, width)
  const y = along(rounded(chart.y, ys, 5), height, 0)
  return { x, y, xTicks: ticks(...x.ends, few(width / 60)), yTicks: ticks(...y.ends, Math.max(2, Math.floor(height / 45))) }
}

const few = (count: number) => Math.max(2, Math.min(10, Math.floor(count)))

/** Ends of an axis, rounded outwards where the chart leaves both open. */
function rounded(axis: Axis, values: readonly number[], count: number): [number, number] {
  const found = ends(axis, values)
  return axis.low === null && axis.high === null ? nice(...found, count) : found
}

const pairs = (one: Series): [number, number][] =>
  one.x.map((x, i): [number, number] => [x, one.y[i] ?? NaN]).filter(([a, b]) => Number.isFinite(a) && Number.isFinite(b))

const path = (corners: readonly (readonly [number, number])[]) => corners.map(([x, y], i) => `${i ? 'L' : 'M'}${x},${y}`).join('')

/** The line of a series. */
export function linePath(one: Series, { x, y }: Frame): string {
  return path(pairs(one).map(([a, b]) => [x(a), y(b)]))
}

/** The band about a series, out along its lower edge and back along the upper; "" when it has none. */
export function bandPath(one: Series, { x, y }: Frame): string {
  if (!one.low.length || one.low.length !== one.x.length || one.high.length !== one.x.length) return ''
  const edge = (values: readonly number[]) => one.x.map((at, i): [number, number] => [x(at), y(values[i]!)])
  return `${path([...edge(one.low), ...edge(one.high).reverse()])}Z`
}

/** Points of a series with their note, inside the frame. */
export function points(one: Series, { x, y }: Frame): { x: number; y: number; note: string }[] {
  return pairs(one).map(([a, b], i) => ({ x: x(a), y: y(b), note: one.notes[i] ?? '' }))
}

/** The picture of one point about 0, 0. */
export function pointPath(look: Series['look']): string {
  const paths: Partial<Record<Series['look'], string>> = {
    out: 'M-4 -5L5 0L-4 5Z',
    back: 'M4 -5L-5 0L4 5Z',
    dots: 'M4 0A4 4 0 1 1 -4 0A4 4 0 1 1 4 0Z',
    squares: 'M-4 -4H4V4H-4Z',
    aside: 'M-5 -5L5 5M-5 5L5 -5',
  }
  return paths[look] ?? ''
}

/** Places after the point that every tick of an axis needs, so that all are written alike. */
export function tickDecimals(ticks: readonly number[]): number {
  const step = ticks.length > 1 ? Math.abs(ticks[1]! - ticks[0]!) : 1
  for (let places = 0; places < 6; places++) {
    const off = step * 10 ** places
    if (Math.abs(off - Math.round(off)) < 1e-6 * Math.max(off, 1)) return places
  }
  return 6
}

/** The same charts on one x scale, so that what is left lies right under its fit. */
export function sharedX(charts: readonly Chart[]): Chart[] {
  const xs = charts.flatMap((one) => [...one.series.flatMap((line) => line.x), ...one.marks.map((mark) => mark.x), ...(one.stick?.all ?? [])])
  if (charts.length < 2 || !charts[0]) return [...charts]
  const [low, high] = nice(...ends(charts[0].x, xs), 6)
  return charts.map((one) => ({ ...one, x: { ...one.x, low, high } }))
}

/** The short half of a note ("row 9" of "row 9: slip of the pen"); the whole stands in the table and the list. */
export function shortNote(note: string, most = 28): string {
  const first = note.split(':')[0] ?? note
  return note.length <= most ? note : first.length <= most ? first : `${first.slice(0, most - 3)}...`
}
