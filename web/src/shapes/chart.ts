/** Chart-as-data laid out on px: scales, ticks, paths. The look is Chart.svelte's. */
import { scaleLinear, type ScaleLinear } from 'd3-scale'
import { area, line } from 'd3-shape'
import type { Axis, Chart, Series } from '../types'

export interface Frame {
  x: ScaleLinear<number, number>
  y: ScaleLinear<number, number>
  xTicks: number[]
  yTicks: number[]
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
  const x = scaleLinear(ends(chart.x, xs), [0, width])
  const y = scaleLinear(ends(chart.y, ys), [height, 0])
  if (chart.x.low === null && chart.x.high === null) x.nice(6)
  if (chart.y.low === null && chart.y.high === null) y.nice(5)
  return { x, y, xTicks: x.ticks(Math.max(2, Math.min(10, Math.floor(width / 60)))), yTicks: y.ticks(Math.max(2, Math.floor(height / 45))) }
}

const pairs = (one: Series): [number, number][] =>
  one.x.map((x, i): [number, number] => [x, one.y[i] ?? NaN]).filter(([a, b]) => Number.isFinite(a) && Number.isFinite(b))

/** The line of a series. */
export function linePath(one: Series, { x, y }: Frame): string {
  return line<[number, number]>((p) => x(p[0]), (p) => y(p[1]))(pairs(one)) ?? ''
}

/** The band about a series; "" when it has none. */
export function bandPath(one: Series, { x, y }: Frame): string {
  if (!one.low.length || one.low.length !== one.x.length || one.high.length !== one.x.length) return ''
  const rows = one.x.map((at, i) => [at, one.low[i]!, one.high[i]!] as const)
  return area<(typeof rows)[number]>((p) => x(p[0]), (p) => y(p[1]), (p) => y(p[2]))(rows) ?? ''
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
  const x = scaleLinear(ends(charts[0].x, xs), [0, 1]).nice(6)
  const [low, high] = x.domain() as [number, number]
  return charts.map((one) => ({ ...one, x: { ...one.x, low, high } }))
}

/** The short half of a note ("row 9" of "row 9: slip of the pen"); the whole stands in the table and the list. */
export function shortNote(note: string, most = 28): string {
  const first = note.split(':')[0] ?? note
  return note.length <= most ? note : first.length <= most ? first : `${first.slice(0, most - 3)}...`
}
