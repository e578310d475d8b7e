/**
 * All places, in the order of their row. A new place is a new folder with a place.ts; nothing else need change. Only
 * the small place.ts is read at once: what a place shows comes when it is looked at, so no place makes another slower.
 */
import type { Component } from 'svelte'

export interface Place {
  /** As in the address: "#/weight". */
  id: string
  /** As in the row of places. */
  name: string
  /** The heading: the one question this place answers. */
  question: string
  order: number
  /** What it shows, fetched when it is first looked at. */
  view: () => Promise<{ default: Component }>
}

const found = import.meta.glob<{ default: Place }>('./*/place.ts', { eager: true })

export const places: readonly Place[] = Object.values(found)
  .map((one) => one.default)
  .sort((a, b) => a.order - b.order)

export function placeOf(id: string): Place | undefined {
  return places.find((one) => one.id === id)
}
