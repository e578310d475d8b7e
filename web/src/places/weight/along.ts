/** Columns of mass along the body, and labels that do not lie on each other. Pure. */
import type { Kind } from '../../shapes/stick'
import type { MassRow } from '../../types'
import { kindOfRow, partWords } from './rows'

export interface Layer {
  kind: Kind
  mass: number
}

/** One column: from `low` to `high` m behind the nose, its mass by kind from the ground up, its parts. */
export interface Column {
  low: number
  high: number
  mass: number
  layers: Layer[]
  parts: string[]
}

const ORDER: Kind[] = ['measured', 'published', 'assumed']

/** Columns `step` m wide; those without mass are left out. */
export function columns(rows: readonly MassRow[], step: number): Column[] {
  const found = new Map<number, MassRow[]>()
  for (const row of rows) {
    if (!(row.used > 0) || !Number.isFinite(row.x)) continue
    const place = Math.floor(row.x / step + 1e-9)
    found.set(place, [...(found.get(place) ?? []), row])
  }
  return [...found]
    .sort(([a], [b]) => a - b)
    .map(([place, mine]) => ({
      low: place * step,
      high: (place + 1) * step,
      mass: mine.reduce((total, one) => total + one.used, 0),
      layers: ORDER.map((kind) => ({
        kind,
        mass: mine.filter((one) => kindOfRow(one.state) === kind).reduce((total, one) => total + one.used, 0),
      })).filter((one) => one.mass > 0),
      parts: names([...mine].sort((a, b) => b.used - a.used)),
    }))
}

/** Names of pieces, the two sides of one thing said once, heaviest first. */
function names(rows: readonly MassRow[]): string[] {
  const whole = rows.map((one) => partWords(one.part.replace(/\.(left|right)$/, '')))
  return [...new Set(whole)]
}

/** A step that gives some twenty columns: 1, 2 or 5 times a power of ten, m. */
export function stepFor(length: number): number {
  const raw = Math.max(length, 0.01) / 18
  const power = 10 ** Math.floor(Math.log10(raw))
  return [1, 2, 5, 10].map((one) => one * power).find((one) => one >= raw - 1e-12) ?? 10 * power
}

export interface Label {
  x: number
  text: string
}

/** Row (0 first) of each label so that none touches another in its row; `wide` estimates a text's width in px. */
export function staggered(labels: readonly Label[], wide: (text: string) => number, gap = 8): number[] {
  const ends: number[] = []
  return labels.map(({ x, text }) => {
    const half = wide(text) / 2
    let row = ends.findIndex((end) => x - half >= end + gap)
    if (row < 0) row = ends.length
    ends[row] = x + half
    return row
  })
}
