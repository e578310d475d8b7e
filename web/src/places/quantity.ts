/** Lengths as written in a file: back and forth between SI and the unit that was typed. */

/** Metres in one of a unit, and the places that show a millimetre. */
const LENGTHS: Record<string, readonly [number, number]> = {
  mm: [0.001, 0], cm: [0.01, 1], dm: [0.1, 2], m: [1, 3], km: [1000, 6], in: [0.0254, 2], '"': [0.0254, 2], inch: [0.0254, 2], inches: [0.0254, 2],
  ft: [0.3048, 4], "'": [0.3048, 4], yd: [0.9144, 4], yards: [0.9144, 4],
}

/** A length in m, written in the unit that was typed there; unknown units become millimetres. */
export function written(value: number, unit: string): string {
  const found = LENGTHS[unit.trim()]
  const [factor, places] = found ?? [0.001, 0]
  const number = Number((value / factor).toFixed(places))
  return `${Object.is(number, -0) ? 0 : number} ${found ? unit.trim() : 'mm'}`
}

/** A bare number of a table whose points all share one unit. */
export function bare(value: number, unit: string): string {
  const [factor] = LENGTHS[unit] ?? [1, 0]
  const number = Number((value / factor).toFixed(2))
  return String(Object.is(number, -0) ? 0 : number)
}

/** The nearest whole step. */
export function stepped(value: number, step: number): number {
  return step > 0 ? Math.round(value / step) * step : value
}
