/** Words for states and kinds, and sentences that screen readers hear. */
import type { RowState } from '../shapes/fence'
import type { Kind } from '../shapes/stick'
import type { Figure, Finding, Words } from '../types'

export const stateWords: Record<RowState, string> = {
  clear: 'clear',
  crosses: 'crosses',
  short: 'short',
  missing: 'not shown',
  conflict: 'in conflict',
}

/** A sentence of the study with a capital in front, where it stands alone. */
export function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1)
}

/** An id without words of its own, as words: "board.areal_mass[board]" gives "Board areal mass, board". */
export function shortName(id: string): string {
  const [base = id, owner] = id.split(/[[\]]/)
  return capital(base.replace(/[._]/g, ' ')) + (owner ? `, ${owner}` : '')
}

/** "at least 4.5", "at most 30 m": the limit of a row, in the unit and to the places its figure is shown in. */
export function limitWords(finding: Finding, words: Words | undefined, show: (value: number, unit: string) => string): string {
  if (finding.limit === null || finding.limit === undefined) return ''
  if (!words) return `${finding.side} ${show(finding.limit, finding.unit)}`
  return `${finding.side} ${inUnit(finding.limit, words)}`
}

/** An SI value in the unit of some words, as short as it may be at their places plus one. */
export function inUnit(value: number, words: Words): string {
  const number = value / words.factor
  const text = String(Number(number.toFixed(Math.max(words.decimals + 1, 0))))
  return withUnit(text.replace('-', '\u2212'), words.unit)
}

export function withUnit(number: string, unit: string): string {
  return unit === '°' || !unit ? number + unit : `${number}\u202f${unit}`
}

/** The kind of a single number, for its stub. */
export function kindOf(figure: Figure): Kind {
  if (figure.kind !== 'computed') return figure.kind
  const shares = figure.shares
  if (!shares) return 'drawn'
  const { assumed, published, measured } = shares
  return assumed >= published && assumed >= measured ? 'assumed' : published >= measured ? 'published' : 'measured'
}

/** "Slowest flying speed, middle 8.6 m/s, 95 in 100 between 8.2 and 9.1 m/s, mostly measured". */
export function sentenceOf(name: string, figure: Figure, words: Words | undefined): string {
  if (!words) return name
  if (figure.low === null || figure.low === undefined) return `${name}, ${words.value}, ${words.known}`
  return `${name}, middle ${words.value}, 95 in 100 between ${words.band.replace(' to ', ' and ')}, ${words.known}`
}

/** "5 minutes", "3 hours": how long a test takes. */
export function duration(minutes: number): string {
  if (minutes < 120) return `${Math.round(minutes)} minutes`
  return `${Number((minutes / 60).toFixed(1))} hours`
}

export function people(count: number): string {
  return count === 1 ? 'one person' : `${['no', 'one', 'two', 'three', 'four', 'five', 'six'][count] ?? count} people`
}
