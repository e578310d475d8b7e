import { describe, expect, it } from 'vitest'
import { percent, stateWords, titles, type SheetRow } from './cuts'

const sheet = (more: Partial<SheetRow>): SheetRow => ({ state: 'free', revision: 'A', obsolete: false, places: [], ...more }) as SheetRow

describe('boards in words', () => {
  it('says what became of a print', () => {
    expect(stateWords(sheet({}))).toBe('not printed yet')
    expect(stateWords(sheet({ state: 'printed', revision: 'B' }))).toBe('printed, revision B')
    expect(stateWords(sheet({ state: 'cut', obsolete: true }))).toBe('cut, revision A, obsolete')
  })
  it('names each part once', () => {
    const place = (title: string) => ({ key: title, title, x_mm: 0, y_mm: 0, turn_deg: 0 })
    expect(titles(sheet({ places: [place('WING 3'), place('WING 3'), place('FIN 1')] }))).toEqual(['WING 3', 'FIN 1'])
  })
  it('rounds shares', () => expect(percent(0.834)).toBe('83 %'))
})
