/** The sheet of air and handling in words. */
import { banded, inUnits, type Banded } from '../engines/sheet'
import { digits, show, type System } from '../../units/show'
import type { Band, Chart, HandlingSheet, LimitRow } from '../../types'

const NARROW = '\u202f'

export const limitOf = (sheet: HandlingSheet, id: string): LimitRow | undefined => sheet.limits.find((one) => one.id === id)
export const chartOf = (sheet: HandlingSheet, id: string): Chart | undefined => sheet.charts.find((one) => one.id === id)

/** A bare number with its band. */
export const bare = (found: Band): Banded => inUnits(found, 1, '', 2)

/** "dies out: half in 0.6 s", "grows: doubles in 9 s"; "or" where its band knows neither. */
export function fate(half: Band): string {
  const time = (value: number) => `${digits(Math.abs(value), Math.abs(value) < 10 ? (Math.abs(value) < 1 ? 2 : 1) : 0)}${NARROW}s`
  const unsure = Math.min(half.low, half.high) < 0 && Math.max(half.low, half.high) > 0
  if (half.value > 0) return `halves in ${time(half.value)}${unsure ? ', or grows' : ''}`
  return `doubles in ${time(half.value)}${unsure ? ', or dies out' : ''}`
}

/** The one sentence: balance between its limits, where the wing lets go, the weakest servo. */
export function answer(sheet: HandlingSheet, system: System): string {
  const at = (id: string) => { const row = limitOf(sheet, id); return row ? show(row.x.value, 'm', system) : '' }
  const fore = at('cg_fore_limit_x')
  const weakest = [...sheet.hinges].sort((a, b) => a.margin.value - b.margin.value)[0]
  return [
    fore ? `It balances at ${at('cg_x')} behind the nose and may balance from ${fore} to ${at('cg_aft_limit_x')}.` : `It balances at ${at('cg_x')} and may not balance behind ${at('cg_aft_limit_x')}.`,
    sheet.stall?.part != null ? `At its slowest the ${sheet.stall.surface} lets go first at ${digits(100 * sheet.stall.part, 0)}${NARROW}% of the half span.` : '',
    weakest ? `Its weakest servo, that of the ${weakest.control}, has ${bare(weakest.margin).value} times what it needs.` : '',
  ].filter(Boolean).join(' ')
}

/** The trim table by speed: one row for each, the powers beside one another. */
export function trims(sheet: HandlingSheet, system: System) {
  const speeds = [...new Set(sheet.trim.map((one) => one.speed))].sort((a, b) => a - b)
  const powers = [...new Set(sheet.trim.map((one) => one.power))]
  const rows = speeds.map((speed) => ({
    speed: show(speed, 'm/s', system),
    cells: powers.map((power) => {
      const row = sheet.trim.find((one) => one.speed === speed && one.power === power)
      return row ? banded(row.elevator, system) : { value: '\u2013', band: '' }
    }),
  }))
  return { powers, rows }
}

/** Motions by name: one row for each, its speeds beside one another. */
export function motions(sheet: HandlingSheet, system: System) {
  const names = [...new Set(sheet.motions.map((one) => one.motion))]
  const speeds = [...new Set(sheet.motions.map((one) => one.speed))].sort((a, b) => a - b)
  const rows = names.map((name) => ({
    name,
    cells: speeds.map((speed) => {
      const row = sheet.motions.find((one) => one.motion === name && one.speed === speed)
      return { swing: row?.period ? banded(row.period, system).value : '', damping: row?.damping ? digits(row.damping.value, 2) : '', fate: row ? fate(row.half) : '' }
    }),
  }))
  return { speeds: speeds.map((one) => show(one, 'm/s', system)), rows }
}

/** How a coefficient is written: C with the letter of its axis; moments small. */
export const coefficient: Record<string, string> = { X: 'CX', Y: 'CY', Z: 'CZ', L: 'Cl', M: 'Cm', N: 'Cn' }
