/** Plan (nose up) and side (nose left) to one scale: where they lie on the sheet, and how a ring there moves its number. */
import type { Field, Handle, Outline } from '../../types'
import { stepped } from '../quantity'

export type View = 'plan' | 'side'
export type XY = readonly [number, number]

/** Where both views lie. px for each m; `plan` and `side` the place of the nose (x = 0, y = 0, z = 0). */
export interface Sheet {
  scale: number
  width: number
  height: number
  plan: XY
  side: XY
  /** Boxes of the drawn lines, px: left, top, right, bottom. */
  boxes: Record<View, readonly [number, number, number, number]>
}

interface Box {
  left: number
  right: number
  top: number
  bottom: number
}

const PAD = 28
const DIMENSION = 44
const GAP = 44

/** Flat place of a point in a view, m, rightwards and downwards. */
export function flat(view: View, at: readonly number[]): XY {
  const [x = 0, y = 0, z = 0] = at
  return view === 'plan' ? [y, x] : [x, -z]
}

/** Flat place of a point of an outline, which comes as (x, y) or (x, z). */
export function flatOutline(view: View, [x, other]: readonly [number, number]): XY {
  return view === 'plan' ? [other, x] : [x, -other]
}

function boxOf(outlines: readonly Outline[], view: View): Box {
  const points = outlines.filter((one) => one.view === view).flatMap((one) => one.points.map((point) => flatOutline(view, point)))
  if (points.length === 0) return { left: 0, right: 1, top: 0, bottom: 1 }
  const xs = points.map((one) => one[0])
  const ys = points.map((one) => one[1])
  return { left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), bottom: Math.max(...ys) }
}

/** Lays both views on a sheet of some width: side by side when there is room, else one under the other. */
export function lay(outlines: readonly Outline[], width: number, below = 0): Sheet {
  const plan = boxOf(outlines, 'plan')
  const side = { ...boxOf(outlines, 'side') }
  side.bottom = Math.max(side.bottom, below)
  const wide = { plan: plan.right - plan.left, side: side.right - side.left }
  const tall = { plan: plan.bottom - plan.top, side: side.bottom - side.top }
  const beside = width >= 560
  const room = beside ? (width - 2 * PAD - GAP) / (wide.plan + wide.side) : (width - 2 * PAD) / Math.max(wide.plan, wide.side)
  const scale = Math.max(room, 1)
  const left = beside ? PAD : (width - wide.plan * scale) / 2
  const planTop = PAD
  const sideLeft = beside ? PAD + wide.plan * scale + GAP : (width - wide.side * scale) / 2
  const planBottom = planTop + tall.plan * scale
  const sideTop = beside ? planTop + DIMENSION + Math.max(0, (tall.plan - tall.side) * scale * 0.35) : planBottom + DIMENSION + GAP + 24
  const sideBottom = sideTop + tall.side * scale
  return {
    scale,
    width,
    height: Math.max(planBottom + DIMENSION, sideBottom + 52),
    plan: [left - plan.left * scale, planTop - plan.top * scale],
    side: [sideLeft - side.left * scale, sideTop - side.top * scale],
    boxes: {
      plan: [left, planTop, left + wide.plan * scale, planBottom],
      side: [sideLeft, sideTop, sideLeft + wide.side * scale, sideBottom],
    },
  }
}

/** A flat place on the sheet, px. */
export function put(sheet: Sheet, view: View, [right, down]: XY): XY {
  const [x, y] = sheet[view]
  return [x + right * sheet.scale, y + down * sheet.scale]
}

export function path(sheet: Sheet, outline: Outline): string {
  const points = outline.points.map((one) => put(sheet, outline.view as View, flatOutline(outline.view as View, one)))
  return `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L')}${outline.closed ? 'Z' : ''}`
}

/** A field with its ring. */
export interface Ring {
  field: Field
  handle: Handle
  view: View
  value: number
}

/** What a ring belongs to: "wing", "control aileron". */
export function ownerOf(field: Field): string {
  const [first = '', second = ''] = field.path.split('.')
  return ['control', 'gear', 'equipment', 'servo', 'pod', 'surface'].includes(first) ? `${first} ${second}`.replaceAll('_', ' ') : first
}

export function ringsOf(fields: readonly Field[]): Ring[] {
  return fields.flatMap((field) => {
    const { handle, value } = field
    if (!handle || value === null || handle.view === 'field') return []
    return [{ field, handle, view: handle.view as View, value }]
  })
}

/** Where a ring stands when its number is `value`, px. */
export function ringAt(sheet: Sheet, ring: Ring, value: number): XY {
  const { at, along, per } = ring.handle
  const share = per ? (value - ring.value) / per : 0
  const moved = at.map((one, axis) => one + (along[axis] ?? 0) * share)
  return put(sheet, ring.view, flat(ring.view, moved))
}

/** The number after a ring was dragged by some px from where it was `value`, to whole steps. */
export function dragged(sheet: Sheet, ring: Ring, value: number, [right, down]: XY): number {
  const { along, per, step } = ring.handle
  const [x, y] = flat(ring.view, along)
  const length = x * x + y * y
  if (!length) return value
  const share = (right * x + down * y) / (length * sheet.scale)
  return stepped(value + share * per, step)
}

/**
 * Which way an arrow key moves a number, 1 or -1; null for other keys. Along the ring's own way the ring goes where the
 * arrow points; across it, right and up mean more.
 */
export function arrow(ring: Ring, key: string): number | null {
  const [x, y] = flat(ring.view, ring.handle.along)
  const way = Math.sign(ring.handle.per || 1)
  const level = Math.abs(x) >= Math.abs(y)
  const moves: Record<string, number> = {
    ArrowRight: level ? Math.sign(x) * way : 1,
    ArrowLeft: level ? -Math.sign(x) * way : -1,
    ArrowUp: level ? 1 : -Math.sign(y) * way,
    ArrowDown: level ? -1 : Math.sign(y) * way,
  }
  return moves[key] ?? null
}

/** The ring nearest to a place, within reach; null when none is. */
export function nearest<T extends { at: XY }>(rings: readonly T[], [x, y]: XY, reach = 22): T | null {
  let best: T | null = null
  let least = reach
  for (const one of rings) {
    const far = Math.hypot(one.at[0] - x, one.at[1] - y)
    if (far <= least) [best, least] = [one, far]
  }
  return best
}

/** Rings that lie upon each other step aside, one after the other, so that each can be taken; the rest stay. */
export function apart<T extends { at: XY }>(rings: readonly T[], room = 13): (T & { from: XY })[] {
  const placed: (T & { from: XY })[] = []
  for (const ring of rings) {
    let at = ring.at
    for (let turn = 0; turn < 12 && placed.some((one) => Math.hypot(one.at[0] - at[0], one.at[1] - at[1]) < room); turn++) {
      const angle = (turn % 6) * (Math.PI / 3) - Math.PI / 6
      const far = room * (1 + Math.floor(turn / 6))
      at = [ring.at[0] + far * Math.cos(angle), ring.at[1] + far * Math.sin(angle)]
    }
    placed.push({ ...ring, at, from: ring.at })
  }
  return placed
}
