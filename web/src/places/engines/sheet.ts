/** The sheet of the engines in words: numbers with their bands to the places the doubt allows, times, charts. */
import { chosen, digits, show, type System } from '../../units/show'
import type { Band, BenchRow, Chart, EngineSheet, UnitRow } from '../../types'

const NARROW = '\u202f'
const SD = 3.92 // a 95 % band over one standard uncertainty

export interface Banded {
  value: string
  band: string
}

/** A value and its 95 % band in `factor` of SI, to the place of the first figure of the standard uncertainty. */
export function inUnits(found: Band, factor: number, symbol: string, most = 3): Banded {
  const sd = (found.high - found.low) / SD / factor
  const places = sd > 0 ? Math.min(Math.max(-Math.floor(Math.log10(sd)), 0), most) : most
  const write = (value: number) => digits(value / factor, places)
  const unit = symbol ? `${symbol === '°' ? '' : NARROW}${symbol}` : ''
  return { value: write(found.value) + unit, band: `${write(found.low)} to ${write(found.high)}${unit}` }
}

/** A band in the units a family uses. */
export function banded(found: Band, system: System): Banded {
  const one = chosen(found.value, found.unit, system)
  return inUnits(found, one.factor, one.symbol)
}

/** A time, s, with its band in minutes. */
export const minutes = (found: Band) => inUnits(found, 60, 'min', 1)

/** A share with its band in per cent. */
export const percent = (found: Band) => inUnits(found, 0.01, '%', 1)

/** A share as it is in per cent; `signed` with its plus. */
export function share(value: number, decimals = 0, signed = false): string {
  return `${signed && value > 0 ? '+' : ''}${digits(value * 100, decimals)}${NARROW}%`
}

/** "2:30": what a timer is set to. */
export function clock(seconds: number): string {
  const whole = Math.floor(seconds)
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`
}

/** The one sentence: push against what level flight takes, minutes, timer. */
export function answer(sheet: EngineSheet, system: System): string {
  const at = (id: string) => sheet.match.find((one) => one.id === id)
  const push = (id: string) => { const row = at(id); return row ? banded(row.thrust, system).value : '' }
  const flight = sheet.flight
  const [they, pushes] = sheet.units.length === 1 ? ['it', 'pushes'] : ['they', 'push']
  const level = at('level')
  return [
    `On a full pack ${they} ${pushes} ${push('static_full')} at rest, with 30${NARROW}% left ${push('static_tired')}.`,
    level ? `At the planned speed ${they} could push ${push('planned')}; level flight takes ${push('level')}.` : '',
    flight ? `The planned pattern takes the pack to 30${NARROW}% in ${minutes(flight.pattern).band}; the timer of the first flight rings after ${clock(flight.first)}.` : '',
  ].filter(Boolean).join(' ')
}

/** Static runs of one engine's place, those of units no longer there among them. */
export function runsOf(sheet: EngineSheet, unit: UnitRow): BenchRow[] {
  return sheet.bench.runs.filter((one) => one.of === unit.name)
}

/** Runs that belong to no engine drawn now. */
export function otherRuns(sheet: EngineSheet): BenchRow[] {
  return sheet.bench.runs.filter((one) => !sheet.units.some((unit) => unit.name === one.of))
}

/** Share of the full push against the lever, as the run found it. */
export function leverChart(run: BenchRow): Chart {
  const x = [0, ...run.levers.map((one) => one.lever * 100)]
  const y = [0, ...run.levers.map((one) => one.share * 100)]
  const axis = (words: string) => ({ words, unit: '%', low: 0, high: 100, zero: true })
  const series = { words: '', x, y, low: [], high: [], notes: [], kind: 'measured' as const }
  return {
    id: `lever ${run.trial}`, title: `${run.trial}: share of the full push against the lever, at equal voltage`,
    x: axis('lever'), y: axis('share of the full push'), marks: [], stick: null, notes: [],
    series: [{ ...series, look: 'line' }, { ...series, look: 'dots' }],
  }
}

/** A change against the aeroplane as it is, with its sign: "+1.2 N"; "the same" below half of its last digit. */
export function by(value: number | undefined, unit: string, system: System, decimals?: number): string {
  const text = show(value ?? 0, unit, system, decimals)
  if (!/[1-9]/.test(text)) return 'the same'
  return (value ?? 0) > 0 ? `+${text}` : text
}
