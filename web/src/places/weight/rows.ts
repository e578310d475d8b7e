/** The list of parts as it is weighed: rows of the study joined with the lines of weighings.csv. Pure. */
import type { Kind } from '../../shapes/stick'
import type { MassRow, Moved, WeighingRecord } from '../../types'

/** One line of the list. `name` is what a weighing of it is called in the file; it may cover several pieces. */
export interface Entry {
  name: string
  pieces: readonly string[]
  drawn: number
  used: number
  weighed: boolean
  state: MassRow['state']
  /** The line that counts; undefined when nobody weighed it by itself. */
  counts: WeighingRecord | undefined
  /** Earlier lines that count no more. */
  struck: readonly WeighingRecord[]
}

/** True when a weighing called `name` covers the piece: itself, or a piece below it ("wing" covers "wing.left"). */
export function covers(name: string, piece: string): boolean {
  return piece === name || piece.startsWith(`${name}.`)
}

/** The line that a piece was weighed by: the closest name wins. */
function lineOf(piece: string, weighings: readonly WeighingRecord[]): WeighingRecord | undefined {
  return weighings
    .filter((one) => !one.struck && covers(one.part, piece))
    .sort((a, b) => b.part.length - a.part.length)[0]
}

/** Entries in the order of the study; pieces that one line covers together stand as one entry. */
export function entries(rows: readonly MassRow[], weighings: readonly WeighingRecord[]): Entry[] {
  const groups = new Map<string, { rows: MassRow[]; line: WeighingRecord | undefined }>()
  for (const row of rows) {
    const line = lineOf(row.part, weighings)
    const name = line?.part ?? row.part
    const group = groups.get(name)
    if (group) group.rows.push(row)
    else groups.set(name, { rows: [row], line })
  }
  return [...groups].map(([name, { rows: mine, line }]) => ({
    name,
    pieces: mine.map((one) => one.part),
    drawn: sum(mine.map((one) => one.drawn)),
    used: sum(mine.map((one) => one.used)),
    weighed: mine.every((one) => one.state === 'weighed'),
    state: mine[0]?.state ?? 'drawn',
    counts: line,
    struck: weighings.filter((one) => one.struck && one.part === name),
  }))
}

export function sum(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0)
}

/** How a row's mass is known: weighed is measured, stated is a seller's word, drawn is worked out from guesses. */
export function kindOfRow(state: MassRow['state']): Kind {
  return state === 'weighed' ? 'measured' : state === 'stated' ? 'published' : 'assumed'
}

/** Parts weighed, parts in all, and their masses. */
export function weighedOf(rows: readonly MassRow[]): { parts: number; all: number; mass: number; whole: number } {
  const weighed = rows.filter((one) => one.state === 'weighed')
  return { parts: weighed.length, all: rows.length, mass: sum(weighed.map((one) => one.used)), whole: sum(rows.map((one) => one.used)) }
}

/** "Main gear, right": a part's name in words. */
export function partWords(name: string): string {
  const steps = name.split('.')
  const side = steps.length > 1 && /^(left|right)$/.test(steps.at(-1) ?? '') ? steps.pop() : undefined
  const family = steps[0] === 'equipment' || steps[0] === 'surface' || steps[0] === 'pod' ? steps.slice(1) : steps
  const words = (family.length > 1 ? [...family.slice(1), family[0]] : family).join(' ').replaceAll('_', ' ')
  const name_ = words.charAt(0).toUpperCase() + words.slice(1)
  return side ? `${name_}, ${side}` : name_
}

const POWERS = [0.001, 0.01, 0.1, 10, 100, 1000]
const LIKELY = 1.6

/**
 * The mass that was perhaps meant where what was typed is hard to believe: the decimal point elsewhere, closest to
 * the drawn mass. null where no shift of the point comes near.
 */
export function meant(mass: number, drawn: number): number | null {
  if (!(mass > 0) || !(drawn > 0)) return null
  const off = (value: number) => Math.abs(Math.log(value / drawn))
  const best = POWERS.map((power) => mass * power).sort((a, b) => off(a) - off(b))[0]!
  return off(best) < Math.log(LIKELY) && off(best) < off(mass) ? best : null
}

/** How much shorter or longer a stick got, in words; "" where it is less than one part in fifty. */
export function shorter(name: string, before: readonly [number, number] | null, after: readonly [number, number] | null): string {
  if (!before || !after) return ''
  const ratio = (after[1] - after[0]) / (before[1] - before[0])
  if (!Number.isFinite(ratio) || Math.abs(ratio - 1) < 0.02) return ''
  const percent = Math.round(Math.abs(ratio - 1) * 100)
  return `The ${name} stick gets ${percent} % ${ratio < 1 ? 'shorter' : 'longer'}.`
}

const FIRST = ['mass', 'cg_x', 'static_margin']

/** One sentence of what a weighing moves: rows that change side, then weight and balance, then how many more. */
export function told(moved: readonly Moved[]): string {
  const turned = moved.filter((one) => one.kind !== 'figure').map((one) => one.difference)
  const figures = moved.filter((one) => one.kind === 'figure')
  const first = FIRST.flatMap((id) => figures.filter((one) => one.id === id)).map((one) => `${one.name} ${one.difference}`)
  const rest = figures.length - first.length
  const more = rest > 0 ? `${rest} more ${rest === 1 ? 'figure moves' : 'figures move'}.` : ''
  const said = first.length ? `${first.join(', ')}.` : figures.length || turned.length ? '' : 'Nothing moves.'
  return [...turned, said, more].filter(Boolean).join(' ')
}
