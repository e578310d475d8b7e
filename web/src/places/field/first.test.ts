import { describe, expect, it } from 'vitest'
import { amissIn, textOf } from './first'

const whole = { name: 'the "long" meadow', long: '220', wide: '120,5', bearing: '85' }

describe('the first site.toml', () => {
  it('is written with its name quoted, commas as points', () => {
    const text = textOf(whole, 'm')
    expect(text).toContain('name = "the \\"long\\" meadow"')
    expect(text).toContain('outline = [[0, 0], [220, 0], [220, 120.5], [0, 120.5]]')
    expect(text).toContain('x_bearing = "85 deg"')
  })
  it('says what is amiss, one thing at a time', () => {
    expect(amissIn(whole, 'm')).toBe('')
    expect(amissIn({ ...whole, name: ' ' }, 'm')).toContain('name')
    for (const long of ['', '0', '-3', 'far']) expect(amissIn({ ...whole, long }, 'ft')).toContain('ft')
    for (const bearing of ['', '360', 'east']) expect(amissIn({ ...whole, bearing }, 'm')).toContain('bearing')
  })
})
