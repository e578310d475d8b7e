import { expect, it } from 'vitest'
import type { FaultRecord } from '../../types'
import { byLine, countLines, place } from './lines'

const fault = (file: string, line: number): FaultRecord => ({ file, line, path: '', read: 'x', expected: '', advice: '', severity: 'fault' })

it('keeps advice of the file in the order of its lines', () => {
  const found = byLine([fault('a', 9), fault('b', 1), fault('a', 2), fault('a', 9)], 'a')
  expect([...found.keys()]).toEqual([2, 9])
  expect(found.get(9)).toHaveLength(2)
})

it('finds where a line stands', () => {
  expect(place('ab\ncde\nf', 2)).toEqual([3, 6])
  expect(place('ab', 1)).toEqual([0, 2])
  expect(place('ab', 9)).toEqual([2, 2])
  expect(countLines('a\nb\n')).toBe(3)
})
