/** Whether a component is still on the page: what it derives may not be read after it has gone. */
import { onDestroy } from 'svelte'

/** Call while the component is set up; ask after every `await` and in every timer. */
export function stillHere(): () => boolean {
  let here = true
  onDestroy(() => (here = false))
  return () => here
}
