/** What is cut in words and groups for the page; figures are the record's own. */
import type { Cutting } from '../../types'

export type SheetRow = Cutting['sheets'][number]
export type PartRow = Cutting['parts'][number]

/** "printed, revision B", "cut, revision A", "not printed yet". */
export function stateWords(one: SheetRow): string {
  if (one.state === 'free') return 'not printed yet'
  return `${one.state}, revision ${one.revision}${one.obsolete ? ', obsolete' : ''}`
}

/** How many parts are outlines only. */
export const outlinesOnly = (record: Cutting): number => record.parts.filter((one) => !one.ready && one.way !== 'length only').length

/** The sentence under the question: boards used, what changed, what may not be cut. */
export function answer(record: Cutting): string {
  return record.says.filter((one) => !one.startsWith('Nobody has tried')).slice(0, 1).join(' ')
}

/** Per cent without decimals. */
export const percent = (share: number): string => `${Math.round(100 * share)} %`

/** Lengths of a stick as text: "620 WING 10, 1 of 4". */
export const cuts = (one: Cutting['sticks'][number]): string => one.cuts.map(([key, length]) => `${Math.round(Number(length))} ${key}`).join('; ')

/** Titles on a board, each once. */
export const titles = (one: SheetRow): string[] => [...new Set(one.places.map((place) => place.title))]
