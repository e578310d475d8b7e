import { describe, expect, it } from 'vitest'
import type { SiteRecord } from '../../types'
import { adding, felling, freeName, halfWay, keyOf, placing, taking } from './points'

const site = {
  outline: [[0, 0], [100, 0], [100, 60]],
  trees: [{ name: 'hedge', points: [[0, 5], [30, 5]], closed: false, height: 3, leaves: '' }, { name: 'wood', points: [[0, 0], [9, 0], [9, 9], [0, 9]], closed: true, height: 12, leaves: '' }],
  stands: [{ name: 'pilot', at: [5, 5], camera: false, looks: '', on: '' }, { name: 'camera_1', at: [1, 1], camera: true, looks: '', on: '' }],
} as unknown as SiteRecord

describe('points put on the field and taken off', () => {
  it('stand half way to the next, round the corner too, and go on at the end of a line', () => {
    expect(halfWay({ points: site.outline, index: 0, closed: true })).toEqual([50, 0])
    expect(halfWay({ points: site.outline, index: 2, closed: true })).toEqual([50, 30])
    expect(halfWay({ points: [[0, 5], [30, 5]], index: 1, closed: false })).toEqual([60, 5])
  })
  it('are written in the unit of the file', () => {
    expect(adding('outline.0', 'corner 1', site, 'ft')?.changes).toEqual([{ file: 'site.toml', path: 'outline.1', text: '[164.04, 0]', do: 'insert' }])
    expect(adding('trees.wood.outline.3', '', site, 'm')?.changes[0]).toMatchObject({ path: 'trees.wood.outline.4', text: '[0, 4.5]' })
    expect(adding('stand.pilot', 'pilot', site, 'm')).toBeNull()
  })
  it('are not taken where the field or the trees would end', () => {
    expect(taking('outline.1', '', site)).toBeNull()
    expect(taking('trees.hedge.line.0', '', site)).toBeNull()
    expect(taking('trees.wood.outline.0', '', site)?.changes).toEqual([{ file: 'site.toml', path: 'trees.wood.outline.0', do: 'remove' }])
    expect(taking('stand.camera_1.at', 'camera 1', site)?.changes).toEqual([{ file: 'site.toml', path: 'stand.camera_1', do: 'remove' }])
    expect(taking('runway.from', '', site)).toBeNull()
    expect(felling('trees.hedge.line.1')?.changes[0]).toMatchObject({ path: 'trees.hedge', do: 'remove' })
    expect(felling('outline.1')).toBeNull()
  })
  it('have names that a file can hold', () => {
    expect(keyOf(' North hedge. ')).toBe('north_hedge')
    expect(keyOf('!?')).toBe('')
    expect(freeName('camera', site)).toBe('camera_2')
    expect(placing('trees', 'row', site, 'm', '8').changes[0]?.text).toBe('{ line = [[56.67, 20], [76.67, 20]], height = 8 }')
    expect(placing('camera', 'camera_2', site, 'm', '').then).toBe('stand.camera_2.at')
  })
})
