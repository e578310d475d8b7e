/** The sheet of strength in words: multiples, moments, places along the span, tables of rows and cells. */
import type { Band, BayRow, CaseRow, DetailRow, JointRow, MaterialValue, ModeRow, ScaleRow, StrengthSheet, TwistRow } from '../../types'
import { chosen, digits, show, type System } from '../../units/show'
import { capital } from '../../units/words'

const NARROW = '\u202f'
const MANY = 99

export interface Cell {
  value: string
  band?: string
  state?: 'clear' | 'crosses' | 'short'
}

export interface Row {
  key: string
  head: string
  says?: string
  cells: Cell[]
}

/** A multiple with its band; what nothing reaches is never reached. */
export function multiple(found: Band, unit = ''): Cell {
  if (found.low > MANY) return { value: 'never' }
  const sd = (found.high - found.low) / 3.92
  const places = sd > 0 ? Math.min(Math.max(-Math.floor(Math.log10(sd)), 0), 2) : 1
  const write = (value: number) => (value > MANY ? 'more' : digits(value, places))
  const after = unit ? NARROW + unit : ''
  return { value: found.value > MANY ? 'over 99' : write(found.value) + after, band: `${write(found.low)} to ${write(found.high)}${found.high > MANY ? '' : after}` }
}

/** A number with its band in the units a family uses, to the places its doubt allows. */
export function banded(found: Band, system: System): Cell {
  const one = chosen(found.value, found.unit, system)
  const cell = multiple({ ...found, value: found.value / one.factor, low: found.low / one.factor, high: found.high / one.factor })
  return cell.value === 'never' || cell.value === 'over 99' ? { value: show(found.value, found.unit, system, 0), band: `${show(found.low, found.unit, system, 0)} to ${show(found.high, found.unit, system, 0)}` } : { value: cell.value + NARROW + one.symbol, band: cell.band! + NARROW + one.symbol }
}

/** Which side of what is needed the whole band lies on. */
export function stateOf(found: Band, needs: number): NonNullable<Cell['state']> {
  return found.low >= needs ? 'clear' : found.high < needs ? 'short' : 'crosses'
}

export const place = (out: number, system: System) => `${show(out, 'm', system)} out`

/** The one sentence: what breaks first, at what, against what is needed. */
export function answer(sheet: StrengthSheet): string {
  if (!sheet.load_factor) return ''
  const load = multiple(sheet.load_factor)
  const first = sheet.modes.find((one) => one.mode === sheet.first)
  const state = stateOf(sheet.load_factor, sheet.needed)
  const verdict = state === 'clear' ? 'so it holds what it needs' : state === 'short' ? 'so it is too weak' : 'so nobody has shown that it holds'
  const where = first && first.place < 0.005 ? 'at its middle' : first ? `${Math.round(first.place * 1000)}${NARROW}mm out` : ''
  return `The wing breaks at ${load.band} times its weight; it must hold ${digits(sheet.needed, 1)}, ${verdict}. Most likely first: ${sheet.first}, ${where}, in ${Math.round((first?.first ?? 0) * 100)} of 100 draws.`
}

export function modeRows(rows: readonly ModeRow[], system: System): Row[] {
  return rows.map((one) => ({
    key: one.mode, head: capital(one.mode), says: one.says,
    cells: [multiple(one.load, 'g'), { value: `${digits(one.first * 100, 0)}${NARROW}%` }, { value: one.place < 0.005 ? 'the middle' : place(one.place, system) }],
  }))
}

export function caseRows(rows: readonly CaseRow[], system: System): Row[] {
  return rows.map((one) => ({
    key: one.id, head: capital(one.words), says: one.says,
    cells: [
      { value: `${digits(one.factor, 1)}${NARROW}g` },
      { value: show(one.root, 'N m', system, 1), band: Object.entries(one.joints).map(([name, moment]) => `${name} ${show(moment, 'N m', system, 1)}`).join(', ') },
      { ...multiple(one.holds), state: stateOf(one.holds, one.needs) },
      { value: digits(one.needs, 2) },
      { value: one.weakest },
    ],
  }))
}

export function detailRows(rows: readonly DetailRow[], system: System): Row[] {
  const part = (words: string) => capital(words.replace(/\bengine\.(\w+)/g, 'the $1 engine'))
  return rows.map((one) => ({
    key: one.id, head: part(one.words), says: one.says.join(' '),
    cells: [
      { value: show(one.need, one.unit, system, 1) },
      one.holds ? { ...banded(one.holds, system), state: stateOf(one.holds, one.need) } : { value: 'not told by the drawing' },
      { value: one.where },
    ],
  }))
}

/** What a joint must carry, with what is hung to try it. */
export function jointFacts(one: JointRow, system: System): { name: string; value: string; band?: string; says?: string }[] {
  const moment = (value: number) => show(value, 'N m', system, 2)
  const where = one.kind === 'hinge' ? 'latch and hinge' : 'ends of the blades'
  return [
    { name: 'In level flight', value: moment(one.one_g) },
    { name: 'At the limit load', value: moment(one.limit), says: one.force_limit === null ? undefined : `${show(one.force_limit, 'N', system, 0)} at ${where}` },
    { name: 'With 1.5 and 1.15 on it', value: moment(one.ultimate), says: one.force_ultimate === null ? undefined : `${show(one.force_ultimate, 'N', system, 0)} at ${where}` },
    { name: 'Hang on it, wing upside down', value: moment(one.hung_limit), says: `${moment(one.hung_ultimate)} with all factors; its own weight helps` },
    one.holds ? { name: 'Holds, by the drawing', ...banded(one.holds, system) } : { name: 'Holds', value: 'only a proof tells' },
  ]
}

const speed = (value: number | null, system: System): Cell => ({ value: value === null ? 'none found' : show(value, 'm/s', system, 0) })

export function twistRows(rows: readonly TwistRow[], system: System): Row[] {
  return rows.map((one) => ({
    key: one.words, head: capital(one.words),
    cells: [
      speed(one.divergence, system), speed(one.half_roll, system),
      { value: one.kept === null || one.kept <= 0 ? 'none' : `${digits(one.kept * 100, 0)}${NARROW}%` },
      speed(one.rule, system), speed(one.unsteady, system),
    ],
  }))
}

export function scaleRows(one: ScaleRow): Row[] {
  return one.modes.map((mode) => ({
    key: mode.mode, head: capital(mode.mode),
    cells: [multiple(mode.small, 'kg'), multiple(mode.full, 'kg'), { value: digits(mode.exponent, 2) }],
  }))
}

export function bayRows(rows: readonly BayRow[], system: System): Row[] {
  return rows.map((one) => ({
    key: String(one.start), head: `${show(one.start, 'm', system)} to ${show(one.end, 'm', system)}`,
    cells: [{ value: show(one.limit, 'kg', system, 0) }, { value: show(one.ultimate, 'kg', system, 0) }],
  }))
}

/** Values of materials; a range stands as the band, the source under the name. */
export function materialRows(rows: readonly MaterialValue[]): Row[] {
  return rows.map((one, i) => ({
    key: String(i), head: `${capital(one.material)}: ${one.what}`, says: [one.source, one.says].filter(Boolean).join('. '),
    cells: [
      { value: one.value === null ? '\u2013' : `${+one.value.toPrecision(4)}${one.unit ? NARROW + one.unit : ''}`, band: one.low === null || one.high === null ? undefined : `${one.low} to ${one.high}` },
      { value: one.kind },
    ],
  }))
}
