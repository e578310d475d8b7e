/** Which test to do next, and the place where it is done. */
import { to } from '../../route.svelte'
import type { Document, Test } from '../../types'

/** The study orders its tests; the first is next. */
export function nextTest(document: Document | null): Test | undefined {
  return document?.tests[0]
}

/** Checks are signed here, weighings typed at the weight, all else is a trial. */
export function where(test: Test): string {
  if (test.name === 'checks') return to('ready', 'checks')
  if (test.name === 'parts' || test.name === 'sheets') return to('weight')
  return to('tests', test.name)
}
