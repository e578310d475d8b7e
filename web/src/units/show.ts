/** Showing an SI value that comes without words, in the units a family uses; the same table and rules as the study. */
import table from './table.json'

export type System = 'metric' | 'imperial'

interface Shown {
  symbol: string
  factor: number
  decimals: number
  /** Largest SI value shown so; null: any. */
  below: number | null
  offset: number
}

const tables = table as Record<System, Record<string, Shown[]>>

/** The display unit of a value. */
export function chosen(largest: number, unit: string, system: System = 'metric'): Shown {
  const choices = tables[system][unit] ?? []
  const found = choices.find((one) => one.below === null || Math.abs(largest) < one.below)
  return found ?? choices.at(-1) ?? { symbol: unit, factor: 1, decimals: 3, below: null, offset: 0 }
}

/** "335 mm", "2.0°", "−4 mm"; a dash for what is not finite. */
export function show(value: number | null | undefined, unit: string, system: System = 'metric', decimals?: number): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '\u2013'
  const one = chosen(value, unit, system)
  const number = digits((value - one.offset) / one.factor, decimals ?? one.decimals)
  return one.symbol === '°' || !one.symbol ? number + one.symbol : `${number}\u202f${one.symbol}`
}

/** Fixed places, true minus, thin spaces from five digits on. */
export function digits(value: number, decimals: number): string {
  const step = 10 ** Math.max(-decimals, 0)
  const text = Math.abs(Math.round(value / step) * step === 0 && decimals <= 0 ? 0 : decimals < 0 ? Math.round(value / step) * step : value).toFixed(Math.max(decimals, 0))
  const [whole = '0', part] = text.split('.')
  const spaced = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, '\u202f') : whole
  const sign = value < 0 && Number(text) !== 0 ? '\u2212' : ''
  return sign + (part ? `${spaced}.${part}` : spaced)
}
