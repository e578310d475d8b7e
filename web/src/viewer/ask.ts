/**
 * What can be asked of the parts of the aeroplane: a few classes with words and a pattern each, so that colour only
 * repeats what pattern and label say. Parts in, classes out.
 */
import type { MeshPart } from '../types'

export type Question = 'material' | 'mass' | 'lift' | 'known'

/** Patterns from nothing to dense: their order carries meaning where classes have an order. */
export type Pattern = 'plain' | 'dots' | 'sparse' | 'stripes' | 'dense' | 'cross'

export interface PartClass {
  /** One letter, as it stands in the picture and in the key. */
  letter: string
  words: string
  pattern: Pattern
  /** Colour as a token of the page ("--board"). */
  token: string
  /** Seen through, as the disc that blades sweep. */
  clear: boolean
}

export interface Asked {
  classes: PartClass[]
  /** Class of each part, in the order of the parts. */
  of: number[]
  /** One sentence over the key. */
  says: string
}

export const questions: readonly { id: Question; words: string }[] = [
  { id: 'material', words: 'material' },
  { id: 'mass', words: 'weight' },
  { id: 'lift', words: 'lift along the wing' },
  { id: 'known', words: 'how well known' },
]

const ORDERED: readonly Pattern[] = ['plain', 'dots', 'sparse', 'stripes', 'dense']
const MATERIALS: Record<string, [string, Pattern]> = {
  'foam board': ['--view-board', 'plain'],
  cardboard: ['--view-card', 'sparse'],
  plywood: ['--view-card', 'cross'],
  wheel: ['--view-dark', 'plain'],
  battery: ['--view-deep', 'stripes'],
  propeller: ['--view-pale', 'dots'],
  fan: ['--view-pale', 'dots'],
}
const MATERIAL_WORDS: Record<string, string> = {
  '': 'no material named',
  wheel: 'wheel',
  battery: 'battery',
  propeller: 'where the blades turn',
  fan: 'mouth of the fan',
}
const SPARE: readonly [string, Pattern][] = [['--view-some', 'dots'], ['--view-more', 'stripes'], ['--view-deep', 'dense']]
const SHADES = ['--view-board', '--view-pale', '--view-some', '--view-more', '--view-deep']
const THRUST = new Set(['propeller', 'fan'])

const letter = (index: number) => String.fromCharCode(65 + index)

/** Classes of the parts under a question. `weigh` writes a mass in the reader's units. */
export function ask(question: Question, parts: readonly MeshPart[], weigh: (mass: number) => string): Asked {
  if (question === 'material') return byMaterial(parts)
  if (question === 'known') return byKnowledge(parts)
  if (question === 'mass')
    return binned(parts, (one) => one.mass, massEdges(parts), weigh, 'no weight of its own', 'A part counts whole, also where it is drawn in strips.')
  return binned(parts, (one) => one.lift, [0.6, 0.9, 1.1], (one) => one.toFixed(1), 'carries no lift that is counted',
    'Lift on each metre of the wing in level flight; 1 is the mean of the wing.')
}

function byMaterial(parts: readonly MeshPart[]): Asked {
  const kinds = [...new Set(parts.map((one) => one.material))]
  const classes = kinds.map((kind, index) => {
    const [token, pattern] = MATERIALS[kind] ?? SPARE[index % SPARE.length] ?? ['--view-board', 'plain']
    return { letter: letter(index), words: MATERIAL_WORDS[kind] ?? kind, pattern, token, clear: THRUST.has(kind) }
  })
  return { classes, of: parts.map((one) => kinds.indexOf(one.material)), says: 'Every part by the kind of stock it is cut from.' }
}

const KNOWN = ['weighed', 'stated', 'drawn'] as const

function byKnowledge(parts: readonly MeshPart[]): Asked {
  const looks: Record<(typeof KNOWN)[number], [string, Pattern, string]> = {
    weighed: ['weighed by us', 'dense', '--view-deep'],
    stated: ['stated by its maker or by us', 'stripes', '--view-some'],
    drawn: ['only drawn, not yet weighed', 'plain', '--view-board'],
  }
  const kinds = KNOWN.filter((kind) => parts.some((one) => one.known === kind))
  const classes = kinds.map((kind, index) => {
    const [words, pattern, token] = looks[kind]
    return { letter: letter(index), words, pattern, token, clear: false }
  })
  return { classes, of: parts.map((one) => kinds.indexOf(one.known)), says: 'Where the weight of each part comes from.' }
}

/** Three edges, evenly spread on a logarithmic scale between the lightest and the heaviest part, to one digit. */
export function massEdges(parts: readonly MeshPart[]): number[] {
  const found = parts.map((one) => one.mass ?? 0).filter((one) => one > 0)
  if (found.length === 0) return []
  const [low, high] = [Math.log(Math.min(...found)), Math.log(Math.max(...found))]
  const edges = [0.25, 0.5, 0.75].map((share) => Number(Math.exp(low + share * (high - low)).toPrecision(1)))
  return [...new Set(edges)]
}

function binned(
  parts: readonly MeshPart[], value: (one: MeshPart) => number | null, edges: readonly number[],
  show: (one: number) => string, without: string, says: string,
): Asked {
  const bin = (one: MeshPart) => {
    const found = value(one)
    return found === null ? -1 : edges.filter((edge) => found >= edge).length
  }
  const used = [...new Set(parts.map(bin))].sort((a, b) => a - b)
  const words = (index: number) => {
    if (index < 0) return without
    const [low, high] = [edges[index - 1], edges[index]]
    if (low === undefined) return high === undefined ? 'all alike' : `under ${show(high)}`
    return high === undefined ? `${show(low)} and more` : `${show(low)} to ${show(high)}`
  }
  const classes = used.map((index, place) => ({
    letter: letter(place),
    words: words(index),
    pattern: ORDERED[Math.min(index + 1, ORDERED.length - 1)] ?? 'plain',
    token: SHADES[Math.min(index + 1, SHADES.length - 1)] ?? '--view-board',
    clear: false,
  }))
  return { classes, of: parts.map((one) => used.indexOf(bin(one))), says }
}
