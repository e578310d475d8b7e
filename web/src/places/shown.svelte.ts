/** What each place shows, as far as it was fetched: the one looked at first, the others when the browser has time. */
import type { Component } from 'svelte'
import { places, type Place } from './registry'

class Shown {
  private views = $state.raw<ReadonlyMap<string, Component>>(new Map())
  private asked = new Map<string, Promise<void>>()
  /** Places that did not come: the server has stopped, or is a newer one with other files. */
  missing = $state.raw<ReadonlySet<string>>(new Set())

  of(id: string): Component | undefined {
    return this.views.get(id)
  }

  /** Fetches a place once; a place that did not come is asked for anew when it is looked at again. */
  bring(place: Place): Promise<void> {
    const under = this.asked.get(place.id)
    if (under) return under
    this.missing = new Set([...this.missing].filter((one) => one !== place.id))
    const coming = place.view().then(
      (found) => {
        this.views = new Map(this.views).set(place.id, found.default)
      },
      () => {
        this.asked.delete(place.id)
        this.missing = new Set(this.missing).add(place.id)
      },
    )
    this.asked.set(place.id, coming)
    return coming
  }

  /** The places nobody looked at yet, one after the other, so that each opens at once and without a server. */
  async bringRest(): Promise<void> {
    for (const one of places) {
      await new Promise<void>((go) => ('requestIdleCallback' in window ? requestIdleCallback(() => go(), { timeout: 3000 }) : setTimeout(go, 300)))
      await this.bring(one)
    }
  }
}

export const shown = new Shown()
