/** The climb over what stands straight ahead, from the side: the stretch needed, as a band, against where the trees are. */
import { bandOf, type Band } from '../../shapes/stick'
import type { Figure } from '../../types'

export interface ClimbPicture {
  /** Distance to what stands there and the height to gain, m, both from where the climb is counted. */
  away: number
  height: number
  /** Stretch needed to gain that height: middle and nested bands, m. */
  needed: Band
  /** Far end of the drawing, m. */
  far: number
  /** Heights are drawn this many times too tall. */
  taller: number
}

/** The picture's numbers; null where the study has none. */
export function climbPicture(ahead: readonly [string, number, number, number] | null, figure: Figure | undefined, width: number, height: number): ClimbPicture | null {
  const needed = bandOf(figure)
  if (!ahead || !needed || !Number.isFinite(needed.middle) || ahead[1] <= 0) return null
  const [, away, gain] = ahead
  const far = 1.12 * away
  const natural = width / far
  const taller = Math.max(1, Math.round((10 * (0.62 * height)) / (gain * natural)) / 10)
  return { away, height: gain, needed, far, taller }
}

/** Height reached at a distance when `height` is gained after `needed` m. */
export function heightAt(distance: number, needed: number, height: number): number {
  return needed > 0 ? (distance / needed) * height : 0
}

/** A wedge between two needed stretches out to `away`, as points (distance, height); cut at `top`. */
export function wedge(early: number, late: number, picture: ClimbPicture, top: number): [number, number][] {
  const side = (needed: number): [number, number][] => {
    const end = heightAt(picture.away, needed, picture.height)
    return end <= top ? [[picture.away, end]] : [[(top / picture.height) * needed, top], [picture.away, top]]
  }
  return [[0, 0], ...side(early), ...side(late).reverse()]
}
