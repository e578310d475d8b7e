/** What can be put on the field and taken off it: the changes of site.toml that do it. */
import type { Change, SiteRecord } from '../../types'
import { bare } from '../quantity'
import type { XY } from './plan'

const FILE = 'site.toml'
const LISTED = /^(outline|trees\.[^.]+\.(?:line|outline))\.(\d+)$/

/** The list that a point is one of. */
interface Listed {
  list: string
  index: number
  points: readonly XY[]
  closed: boolean
  /** Fewer points than this are no field and no trees. */
  least: number
}

/** A change and what it does, in words; `then` is the ring to go on with. */
export interface Doing {
  changes: Change[]
  says: string
  then: string
}

export function listed(path: string, site: SiteRecord): Listed | null {
  const [, list = '', index = ''] = LISTED.exec(path) ?? []
  if (!list) return null
  const row = site.trees.find((one) => list.startsWith(`trees.${one.name}.`))
  const points = list === 'outline' ? site.outline : row?.points
  const closed = list === 'outline' || Boolean(row?.closed)
  return points ? { list, index: Number(index), points, closed, least: closed ? 3 : 2 } : null
}

/** Half way to the next point; after the last of an open line, as far on as the point before is behind. */
export function halfWay({ points, index, closed }: Pick<Listed, 'points' | 'index' | 'closed'>): XY {
  const here: XY = points[index] ?? [0, 0]
  const [next, before] = [points[closed ? (index + 1) % points.length : index + 1], points[index - 1]]
  if (next) return [(here[0] + next[0]) / 2, (here[1] + next[1]) / 2]
  return before ? [2 * here[0] - before[0], 2 * here[1] - before[1]] : here
}

const pair = ([x, y]: XY, unit: string) => `[${bare(x, unit)}, ${bare(y, unit)}]`

/** A further point after a ring; null where a ring is none of a list. */
export function adding(path: string, name: string, site: SiteRecord, unit: string): Doing | null {
  const found = listed(path, site)
  if (!found) return null
  const then = `${found.list}.${found.index + 1}`
  return { changes: [{ file: FILE, path: then, text: pair(halfWay(found), unit), do: 'insert' }], says: `a point after ${name}`, then }
}

/** A point, a person or a camera taken out; null where the field would not stand without it. */
export function taking(path: string, name: string, site: SiteRecord): Doing | null {
  const [first, second = ''] = path.split('.')
  if (first === 'stand') return { changes: [{ file: FILE, path: `stand.${second}`, do: 'remove' }], says: `${name} taken out`, then: '' }
  const found = listed(path, site)
  if (!found || found.points.length <= found.least) return null
  const then = `${found.list}.${Math.max(found.index - 1, 0)}`
  return { changes: [{ file: FILE, path, do: 'remove' }], says: `${name} taken out`, then }
}

/** A whole row of trees taken out. */
export function felling(path: string): Doing | null {
  const [first, second = ''] = path.split('.')
  const words = second.replaceAll('_', ' ')
  return first === 'trees' ? { changes: [{ file: FILE, path: `trees.${second}`, do: 'remove' }], says: `all of ${words} taken out`, then: '' } : null
}

export type Kind = 'trees' | 'person' | 'camera' | 'runway' | 'eight'

/** What a kind asks for besides its place: the number is in the file's unit. */
export const ASKS: Partial<Record<Kind, string>> = { trees: 'Height', eight: 'Height', runway: 'Width' }

/** There is one of these on a field, so it needs no name. */
export const single = (kind: Kind): boolean => kind === 'runway' || kind === 'eight'

/** A name as a key of the file: "north hedge" is north_hedge; "" when nothing of it can be used. */
export function keyOf(words: string): string {
  return words.trim().toLowerCase().replace(/\s+/g, '_').replace(/[^\p{L}\p{N}_-]/gu, '').replace(/[^a-z0-9_-]/g, '')
}

/** The first name of its kind that is free: camera_3, trees_1. */
export function freeName(kind: Kind, site: SiteRecord): string {
  const taken = new Set([...site.stands, ...site.trees].map((one) => one.name))
  const stem = kind === 'person' ? 'helper' : kind
  let number = 1
  while (taken.has(`${stem}_${number}`)) number++
  return `${stem}_${number}`
}

/** Something new in the middle of the field; trees as a line of 20 m, a runway half as long as the field, to be dragged.
 * `size`: how high trees and figure are, how wide the runway is, as typed in the file's unit. */
export function placing(kind: Kind, key: string, site: SiteRecord, unit: string, size: string): Doing {
  const mean = (axis: 0 | 1) => site.outline.reduce((sum, one) => sum + one[axis], 0) / Math.max(site.outline.length, 1)
  const [x, y] = [mean(0), mean(1)]
  if (kind === 'runway') {
    const along = site.outline.map((one) => one[0])
    const quarter = (Math.max(...along) - Math.min(...along)) / 4
    const parts = { from: pair([x - quarter, y], unit), to: pair([x + quarter, y], unit), width: size }
    return { changes: Object.entries(parts).map(([part, text]) => ({ file: FILE, path: `runway.${part}`, text, do: 'insert' as const })), says: 'a runway put on the field', then: 'runway.from' }
  }
  if (kind === 'eight') {
    const text = `{ centre = ${pair([x, y], unit)}, height = ${size} }`
    return { changes: [{ file: FILE, path: 'plan.eight', text, do: 'insert' }], says: 'a figure-eight planned', then: 'plan.eight.centre' }
  }
  const says = `${key.replaceAll('_', ' ')} put on the field`
  if (kind === 'trees') {
    const text = `{ line = [${pair([x - 10, y], unit)}, ${pair([x + 10, y], unit)}], height = ${size} }`
    return { changes: [{ file: FILE, path: `trees.${key}`, text, do: 'insert' }], says, then: `trees.${key}.line.0` }
  }
  const text = kind === 'camera' ? `{ at = ${pair([x, y], unit)} }` : pair([x, y], unit)
  return { changes: [{ file: FILE, path: `stand.${key}`, text, do: 'insert' }], says, then: `stand.${key}${kind === 'camera' ? '.at' : ''}` }
}
