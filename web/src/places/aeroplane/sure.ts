/** Which of some figures we know least about: the widest band beside its own middle. */
import type { Figure } from '../../types'

export function leastSure(figures: Record<string, Figure>, ids: readonly string[]): { id: string; name: string } | null {
  let best: { id: string; name: string } | null = null
  let widest = 0
  for (const id of ids) {
    const one = figures[id]
    if (!one || one.kind === 'drawn' || one.low == null || one.high == null || one.unit === 'rad' || !one.value) continue
    const wide = (one.high - one.low) / Math.abs(one.value)
    if (wide > widest) [best, widest] = [{ id, name: one.name }, wide]
  }
  return best
}
