import { describe, expect, it } from 'vitest'
import { bars, LIMIT, papers, reading, type Paper } from './printer'

describe('printer', () => {
  it('bars fit on their paper in whole tens', () => {
    for (const paper of Object.keys(papers) as Paper[]) {
      const [across, up] = bars(paper)
      expect(across % 10).toBe(0)
      expect(across).toBeLessThan(papers[paper][0] - 20)
      expect(up).toBeLessThan(papers[paper][1] - 20)
    }
    expect(bars('A4')).toEqual([170, 240])
  })
  it('reads a point, a comma and a unit', () => {
    for (const text of ['169.0', '169,0', ' 169 mm '])
      expect(reading(text, 170)).toMatchObject({ state: 'taken', hundred: (100 * 169) / 170 })
    expect(reading('', 170)).toEqual({ state: 'empty' })
    expect(reading('about 169', 170).state).toBe('unread')
    expect(reading('1e9', 170).state).toBe('unread')
  })
  it('refuses beyond three per cent, with words, and takes what is within', () => {
    expect(reading(String(170 * (1 + LIMIT) + 0.1), 170).state).toBe('far')
    expect(reading(String(170 * (1 - LIMIT) - 0.1), 170).state).toBe('far')
    expect(reading('165', 170).state).toBe('taken')
    expect(reading('160', 170)).toMatchObject({ says: expect.stringContaining('fitted to the paper') })
  })
})
