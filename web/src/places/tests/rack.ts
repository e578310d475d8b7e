/** The rack of questions: each kind of trial with its trials and what it would settle. Pure. */
import type { Document, NextTest, Test, TrialKind, TrialRecord, TrialRow } from '../../types'

export interface Question {
  kind: string
  words: string
  plan: TrialKind | undefined
  trials: readonly TrialRecord[]
  test: Test | undefined
}

/** The kind of trial that answers a test of the study; the test's own name where no kind is called otherwise. */
export function kindOfTest(name: string): string {
  return name === 'joint' ? 'proof' : name
}

/** Kinds in the order in which the study would do them, then the others. */
export function rack(kinds: readonly TrialKind[], trials: readonly TrialRecord[], document: Document | null): Question[] {
  const tests = document?.tests ?? []
  const place = (kind: string) => {
    const found = tests.findIndex((one) => kindOfTest(one.name) === kind)
    return found < 0 ? tests.length : found
  }
  const names = [...new Set([...kinds.map((one) => one.kind), ...trials.map((one) => one.kind)])]
  return names
    .map((kind) => ({
      kind,
      words: kinds.find((one) => one.kind === kind)?.words ?? kind,
      plan: kinds.find((one) => one.kind === kind),
      trials: trials.filter((one) => one.kind === kind).sort((a, b) => a.date.localeCompare(b.date) || a.id.localeCompare(b.id)),
      test: tests.find((one) => kindOfTest(one.name) === kind),
    }))
    .sort((a, b) => place(a.kind) - place(b.kind))
}

/** What the study works out for a kind of trial: parts, open rows, chances. A proof of a joint is of its kind too. */
export function followingOf(document: Document | null, kind: string): readonly NextTest[] {
  return (document?.following ?? []).filter((one) => kindOfTest(one.kind) === kind)
}

/** A share or chance in words; draws can show neither never nor always. */
export function chance(part: number): string {
  return part < 0.005 ? 'under 1 %' : part > 0.995 ? 'over 99 %' : `${Math.round(100 * part)} %`
}

/** What is known of breaking the article. */
export function breaksWords(one: NextTest): string {
  if (one.article === 'flying') return `Chance that it breaks the part that will fly: ${chance(one.breaks)}. At most ${one.most}.`
  if (one.article === 'piece') return one.breaks >= 1 ? 'A piece made to be broken.' : `Chance that the piece breaks: ${chance(one.breaks)}.${one.most ? ` At most ${one.most}.` : ''}`
  return ''
}

/** How a trial stands, in words; the study's own word when it has one. */
export function standing(trial: TrialRecord, row: TrialRow | undefined): string {
  if (trial.planned) return trial.tables.length ? 'planned, rows dropped' : 'planned'
  if (trial.set_aside) return 'set aside'
  return row?.state ?? 'run'
}

/** Trials that were run and are not taken in yet. */
export function waiting(document: Document | null): TrialRow[] {
  return (document?.trials ?? []).filter((one) => one.state === 'not taken in')
}

/** "11 April 2026" */
export function day(date: string): string {
  const [year, month, number] = date.split('-').map(Number)
  const names = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December']
  return year && month && number && names[month - 1] ? `${number} ${names[month - 1]} ${year}` : date
}

/** The figures that a kind of trial speaks about. */
export function speaksAbout(kind: string): readonly string[] {
  const found: Record<string, readonly string[]> = {
    vehicle: ['maximum_lift_coefficient', 'lift_curve_slope', 'stall_speed'],
    bend: ['load_factor_at_failure', 'tip_deflection'],
    proof: ['load_factor_at_failure'],
    thrust: ['thrust_static', 'current_full'],
    balance: ['mass', 'cg_x', 'static_margin', 'nose_load'],
    pull: ['takeoff_run'],
  }
  return found[kind] ?? []
}
