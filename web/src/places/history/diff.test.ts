import { expect, it } from 'vitest'
import { asked, lineOf, moment, opened, tally, typing } from './diff'

it('tells lines that came from lines that went', () => {
  expect([' a', '-b', '+c', '@@ -1 +1 @@'].map((one) => lineOf(one).look)).toEqual(['same', 'gone', 'new', 'head'])
  expect(lineOf('-part,mass').text).toBe('part,mass')
  expect(tally([' a', '-b', '+c', '+d'])).toBe('2 lines new, 1 line gone')
  expect(tally([' a'])).toBe('no line changed')
})

it('writes a moment for people, and leaves what is none', () => {
  expect(moment('2026-11-25T14:05:00')).toBe('25 November, 14:05')
  expect(moment('then')).toBe('then')
})

it('hears undo and redo, and nothing else', () => {
  const key = (key: string, more: object = {}) => asked({ key, ctrlKey: true, metaKey: false, shiftKey: false, altKey: false, ...more })
  expect(key('z')).toBe('undo')
  expect(key('Z', { shiftKey: true })).toBe('redo')
  expect(key('y')).toBe('redo')
  expect(key('z', { ctrlKey: false })).toBeNull()
  expect(key('z', { ctrlKey: false, metaKey: true })).toBe('undo')
  expect(key('z', { altKey: true })).toBeNull()
  expect(key('s')).toBeNull()
  expect(typing(null)).toBe(false)
})

it('leaves names of files and parts as they are written', () => {
  expect(opened('trials taken in')).toBe('Trials taken in')
  expect(opened('aeroplane.toml edited')).toBe('aeroplane.toml edited')
  expect(opened('equipment.logger weighed: 25 g')).toBe('equipment.logger weighed: 25 g')
})
