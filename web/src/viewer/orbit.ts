/** Where the eye stands: turned about the aeroplane, up and down, nearer and further. Angles in rad, lengths in m. */
export interface Orbit {
  /** Angle of the eye in the ground plane, from aft towards the right wing. */
  azimuth: number
  /** Height of the eye above the level, as an angle. */
  elevation: number
  /** Distance as a multiple of the one that shows the whole aeroplane. */
  zoom: number
}

export type Point3 = readonly [number, number, number]

/** From the front left, a little above: how the aeroplane stands when the page opens. */
export const HOME: Orbit = { azimuth: -2.2, elevation: 0.5, zoom: 1 }

export const LOWEST = -0.15
export const HIGHEST = Math.PI / 2 - 0.01
export const NEAREST = 0.25
export const FURTHEST = 2.5

const within = (value: number, low: number, high: number) => Math.min(Math.max(value, low), high)

/** The orbit after the eye moved by two angles. */
export function turned(orbit: Orbit, aside: number, up: number): Orbit {
  const whole = 2 * Math.PI
  const azimuth = (((orbit.azimuth + aside + Math.PI) % whole) + whole) % whole - Math.PI
  return { ...orbit, azimuth, elevation: within(orbit.elevation + up, LOWEST, HIGHEST) }
}

/** The orbit after coming nearer (factor under 1) or going away. */
export function zoomed(orbit: Orbit, factor: number): Orbit {
  return { ...orbit, zoom: within(orbit.zoom * factor, NEAREST, FURTHEST) }
}

/** Place of the eye that looks at `target` from `distance`. */
export function eye(orbit: Orbit, target: Point3, distance: number): Point3 {
  const far = distance * orbit.zoom
  const level = Math.cos(orbit.elevation) * far
  return [
    target[0] + Math.cos(orbit.azimuth) * level,
    target[1] + Math.sin(orbit.azimuth) * level,
    target[2] + Math.sin(orbit.elevation) * far,
  ]
}

const NAMES = ['behind', 'behind on the right', 'the right', 'in front on the right', 'in front', 'in front on the left', 'the left', 'behind on the left']

/** Where we look from, for those who do not see it: "from in front on the left, a little above". */
export function said(orbit: Orbit): string {
  const eighth = Math.round(orbit.azimuth / (Math.PI / 4))
  const side = NAMES[((eighth % 8) + 8) % 8] ?? ''
  const height = orbit.elevation > 1.2 ? 'from above' : orbit.elevation > 0.15 ? 'a little above' : 'level'
  return `from ${side}, ${height}`
}

/** Keys that move the eye; null for any other key. Arrows turn, plus and minus come nearer and go away, Home goes back. */
export function keyed(orbit: Orbit, key: string, far: boolean): Orbit | null {
  const step = far ? Math.PI / 6 : Math.PI / 24
  const moves: Record<string, () => Orbit> = {
    ArrowLeft: () => turned(orbit, -step, 0),
    ArrowRight: () => turned(orbit, step, 0),
    ArrowUp: () => turned(orbit, 0, step),
    ArrowDown: () => turned(orbit, 0, -step),
    '+': () => zoomed(orbit, 0.85),
    '=': () => zoomed(orbit, 0.85),
    '-': () => zoomed(orbit, 1 / 0.85),
    Home: () => HOME,
  }
  return moves[key]?.() ?? null
}
