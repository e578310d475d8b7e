/** A limit as a fence: a line with teeth on the forbidden side, on top of the sticks with a halo. Numbers in, shapes out. */
import type { Shape } from './stick'

export type Side = 'left' | 'right'

/** A fence at `x` from `top` to `bottom`, teeth on the `bad` side. */
export function fence(x: number, top: number, bottom: number, bad: Side, pitch = 12): Shape[] {
  const line = { tag: 'line', x1: x, x2: x, y1: top, y2: bottom } as const
  return [{ ...line, look: 'halo' }, { tag: 'path', look: 'teeth', d: teeth(x, top, bottom, bad, pitch) }, { ...line, look: 'post' }]
}

/** Closed triangles along the fence, one every `pitch`, at least one. */
function teeth(x: number, top: number, bottom: number, bad: Side, pitch: number): string {
  const out = bad === 'left' ? -5 : 5
  const count = Math.max(1, Math.floor((bottom - top) / pitch))
  const first = (top + bottom) / 2 - ((count - 1) * pitch) / 2
  return Array.from({ length: count }, (_, i) => first + i * pitch)
    .map((y) => `M${x} ${y - 3}L${x + out} ${y}L${x} ${y + 3}Z`)
    .join('')
}

/** The forbidden ground beside a fence. */
export function badGround(from: number, to: number, top: number, bottom: number): Shape {
  return { tag: 'rect', look: 'bad', x: Math.min(from, to), y: top, width: Math.abs(to - from), height: bottom - top }
}

export type RowState = 'clear' | 'crosses' | 'short' | 'missing' | 'conflict'

/** A row's state as a small picture, 20 x 14: the fence with its stick right of it, across, left; alone for missing. */
export function fencePicture(state: RowState): Shape[] {
  const spans: Partial<Record<RowState, readonly [number, number]>> = { clear: [11, 19], crosses: [4, 16], short: [1, 9] }
  const span = spans[state]
  const post = fence(10, 0, 14, 'left', 5)
  if (state === 'conflict')
    return [
      { tag: 'rect', look: 'plain', x: 1, y: 2, width: 6, height: 4 },
      { tag: 'rect', look: 'plain', x: 13, y: 8, width: 6, height: 4 },
      ...post,
    ]
  if (!span) return post
  return [{ tag: 'rect', look: state === 'crosses' ? 'hollow' : 'plain', x: span[0], y: 4, width: span[1] - span[0], height: 6 }, ...post]
}
