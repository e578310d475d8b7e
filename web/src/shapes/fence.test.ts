import { expect, it } from 'vitest'
import { badGround, fence, fencePicture, type RowState } from './fence'

const xs = (d: string) => [...d.matchAll(/[ML](-?[\d.]+) /g)].map((one) => Number(one[1]))

it('has its teeth on the forbidden side only', () => {
  const toLeft = fence(50, 0, 60, 'left').find((one) => one.look === 'teeth')
  const toRight = fence(50, 0, 60, 'right').find((one) => one.look === 'teeth')
  expect(toLeft?.tag === 'path' && Math.max(...xs(toLeft.d))).toBe(50)
  expect(toRight?.tag === 'path' && Math.min(...xs(toRight.d))).toBe(50)
})

it('stands on a halo, so that crossing is seen', () => {
  expect(fence(5, 0, 10, 'left').map((one) => one.look)).toEqual(['halo', 'teeth', 'post'])
})

it('shows each state by where the stick lies', () => {
  const box = (state: RowState) => fencePicture(state).find((one) => one.tag === 'rect')
  expect(box('clear')).toMatchObject({ x: 11 })
  const across = box('crosses')
  expect(across && across.x < 10 && across.x + across.width > 10).toBe(true)
  const left = box('short')
  expect(left && left.x + left.width < 10).toBe(true)
  expect(box('missing')).toBeUndefined()
})

it('fills forbidden ground whichever way round it is named', () => {
  expect(badGround(30, 10, 0, 5)).toMatchObject({ x: 10, width: 20 })
})
