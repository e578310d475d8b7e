import { describe, expect, it } from 'vitest'
import type { MeshPart } from '../types'
import { ask, massEdges, questions } from './ask'

const part = (over: Partial<MeshPart>): MeshPart => ({ name: 'a', part: 'a', material: 'foam board', first: 0, count: 1, mass: 0.1, lift: null, known: 'drawn', ...over })
const weigh = (kg: number) => `${Math.round(kg * 1000)} g`
const parts = [
  part({ mass: 0.02, lift: 0.4, known: 'weighed' }), part({ mass: 0.2, lift: 0.95, material: 'cardboard' }),
  part({ mass: null, material: 'propeller', known: 'stated' }), part({ mass: 0.9, lift: 1.3 }),
]

describe('what is asked of the parts', () => {
  it('gives every part a class under every question, each with words, a letter and a look of its own', () => {
    for (const { id } of questions) {
      const { classes, of } = ask(id, parts, weigh)
      expect(of).toHaveLength(parts.length)
      for (const one of of) expect(classes[one]).toBeDefined()
      expect(new Set(classes.map((one) => one.letter)).size).toBe(classes.length)
      expect(new Set(classes.map((one) => one.words)).size).toBe(classes.length)
      expect(new Set(classes.map((one) => `${one.pattern}`)).size).toBe(classes.length)
    }
  })
  it('tells lift over the mean from lift under it, and parts that carry none apart', () => {
    const { classes, of } = ask('lift', parts, weigh)
    expect(of.map((one) => classes[one]?.words)).toEqual(['under 0.6', '0.9 to 1.1', 'carries no lift that is counted', '1.1 and more'])
  })
  it('bins weights evenly on a logarithmic scale', () => {
    expect(massEdges(parts)).toEqual([0.05, 0.1, 0.3])
    const { classes, of } = ask('mass', parts, weigh)
    expect(of.map((one) => classes[one]?.words)).toEqual(['under 50 g', '100 g to 300 g', 'no weight of its own', '300 g and more'])
  })
  it('holds with no parts and with parts that weigh nothing', () => {
    for (const { id } of questions) expect(ask(id, [], weigh)).toMatchObject({ classes: [], of: [] })
    expect(ask('mass', [part({ mass: null })], weigh).classes).toHaveLength(1)
    expect(massEdges([])).toEqual([])
  })
})
