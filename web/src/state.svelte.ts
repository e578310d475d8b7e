/** What the page knows: the server's State, what moved last, what is typed but not saved, and the reader's switches. */
import { client, listen, Lost, Refused, speak, type Units } from './client'
import type { Change, Conflict, FaultRecord, Field, Figure, Finding, Job, Moved, Moves, Push, Saved, State, Words } from './types'

export type Light = 'light' | 'dark' | 'system'

/** Changes typed or dragged but not saved, and what they would move. */
export interface Pending {
  changes: Change[]
  moves: Moves | null
}

const SLOW = 300 // after this many ms without an answer "working out" is written

function remembered<T extends string>(key: string, allowed: readonly T[], otherwise: T): T {
  const found = localStorage.getItem(`planewright.${key}`) as T | null
  return found && allowed.includes(found) ? found : otherwise
}

class Store {
  /** The last State; null before the first answer. Replaced whole, never edited. */
  state = $state.raw<State | null>(null)
  /** True while the server cannot be reached. */
  lost = $state(false)
  /** What the last save (here, elsewhere or in a file) moved, and its one sentence. */
  moved = $state.raw<readonly Moved[]>([])
  said = $state('')
  /** Why the last thing asked was not done. */
  refused = $state.raw<{ says: string; faults: readonly FaultRecord[] } | null>(null)
  conflict = $state.raw<Conflict | null>(null)
  pending = $state.raw<Pending>({ changes: [], moves: null })
  jobs = $state.raw<readonly Job[]>([])
  /** The number that stands open: "place:id"; one at a time. */
  touched = $state('')
  /** Something asked has not been answered for a while. */
  slow = $state(false)
  units = $state<Units | 'file'>(remembered('units', ['metric', 'imperial', 'file'], 'file'))
  light = $state<Light>(remembered('light', ['light', 'dark', 'system'], 'system'))

  private asked = 0
  /** Saves under way, and the newest revision the server spoke of meanwhile. */
  private saving = 0
  private heardOf = 0
  private previewing = 0

  // ---- what places read

  get document() {
    return this.state?.document ?? null
  }
  figure(id: string): Figure | undefined {
    return this.document?.figures[id]
  }
  words(id: string): Words | undefined {
    return this.state?.words[id]
  }
  finding(id: string): Finding | undefined {
    return this.document?.findings.find((one) => one.id === id)
  }
  field(path: string, file?: string): Field | undefined {
    return this.state?.fields.find((one) => one.path === path && (!file || one.file === file))
  }
  /** Still the number of the revision before. */
  working(id: string): boolean {
    return this.state?.working.includes(id) ?? false
  }
  /** The number is fresh; what is measured and published of its band is still that of before. */
  partly(id: string): boolean {
    const moves = this.pending.moves
    return (moves && id in moves.words ? moves.bands : this.state?.bands)?.includes(id) ?? false
  }
  /** The figure and words as they would be with the typed changes; undefined when they do not move it. */
  future(id: string): { figure?: Figure; words?: Words } | undefined {
    const moves = this.pending.moves
    if (!moves) return undefined
    return { figure: moves.document?.figures[id], words: moves.words[id] }
  }

  // ---- switches

  setUnits(system: Units | 'file'): Promise<void> {
    this.units = system
    localStorage.setItem('planewright.units', system)
    speak(system === 'file' ? null : system)
    return this.load()
  }
  setLight(light: Light): void {
    this.light = light
    localStorage.setItem('planewright.light', light)
    this.showLight()
  }
  showLight(): void {
    if (this.light === 'system') delete document.documentElement.dataset.light
    else document.documentElement.dataset.light = this.light
  }

  // ---- the server

  /** Starts listening; call once. Returns how to stop. */
  begin(): () => void {
    speak(this.units === 'file' ? null : this.units)
    this.showLight()
    void this.load()
    return listen({
      push: (word) => this.heard(word),
      lost: () => (this.lost = true),
      open: () => {
        const back = this.lost
        this.lost = false
        if (back) void this.load()
      },
    })
  }

  async load(): Promise<void> {
    const mine = ++this.asked
    try {
      const found = await client.state()
      if (mine === this.asked) this.take(found)
    } catch (reason) {
      this.failed(reason)
    }
  }

  private take(found: State): void {
    const now = this.state
    if (now && now.boot === found.boot && found.revision < now.revision) return
    this.state = found
    this.jobs = found.jobs
    this.lost = false
  }

  private heard(word: Push): void {
    const now = this.state
    if (word.kind === 'progress' && word.job) this.jobs = [word.job, ...this.jobs.filter((one) => one.id !== word.job?.id)]
    else if (word.kind === 'stopping') this.lost = true
    else if (word.kind === 'hello') {
      if (now && (now.boot !== word.boot || now.revision !== word.revision)) void this.load()
    } else {
      if (word.moved.length > 0 || word.says) this.tell(word.says, word.moved)
      // The answer of a save under way brings its state along.
      if (word.kind === 'state' && this.saving > 0) this.heardOf = Math.max(this.heardOf, word.revision)
      else void this.load()
    }
    if (word.kind === 'progress' && word.job && word.job.state !== 'running' && word.job.state !== 'waiting') void this.load()
  }

  tell(says: string, moved: readonly Moved[] = []): void {
    this.said = says
    this.moved = moved
  }

  /**
   * Asks for something that is saved; takes the new State, tells what moved. Answers the record, or null when refused
   * (then `refused` or `conflict` say why and everything typed is kept).
   */
  async save(asking: () => Promise<Saved>): Promise<Saved | null> {
    this.saving++
    const saved = await this.doing(asking).finally(() => this.saving--)
    if (saved) {
      this.asked++
      this.take(saved.state)
      this.tell(saved.says, saved.moved)
    }
    if (this.saving === 0 && this.heardOf > (this.state?.revision ?? 0)) void this.load()
    return saved
  }

  /** Asks for anything; null when refused, and `refused` or `conflict` then say why. */
  async doing<T>(asking: () => Promise<T>): Promise<T | null> {
    const timer = setTimeout(() => (this.slow = true), SLOW)
    this.refused = null
    try {
      return await asking()
    } catch (reason) {
      this.failed(reason)
      return null
    } finally {
      clearTimeout(timer)
      this.slow = false
    }
  }

  private failed(reason: unknown): void {
    if (reason instanceof Refused) {
      if (reason.refusal.conflict) this.conflict = reason.refusal.conflict
      else this.refused = { says: reason.refusal.says, faults: reason.refusal.faults }
    } else if (reason instanceof Lost) this.lost = true
    else throw reason
  }

  // ---- typed, not yet saved

  /** Changes as typed or dragged so far: asks what they would move; only the newest answer counts. */
  async preview(changes: Change[]): Promise<void> {
    const mine = ++this.previewing
    this.pending = { changes, moves: changes.length ? this.pending.moves : null }
    if (!changes.length || !this.state) return
    const moves = await this.doing(() => client.preview({ revision: this.state?.revision ?? 0, changes }))
    if (mine === this.previewing && moves) this.pending = { changes, moves }
  }

  /** Saves what is typed; what is typed stays when it is refused. */
  async savePending(says = ''): Promise<Saved | null> {
    const { changes } = this.pending
    if (!changes.length) return null
    const saved = await this.saveChanges(changes, says)
    if (saved) this.drop()
    return saved
  }

  saveChanges(changes: Change[], says = ''): Promise<Saved | null> {
    return this.save(() => client.edit({ revision: this.state?.revision ?? 0, changes, says }))
  }

  /** Forgets what is typed. */
  drop(): void {
    this.previewing++
    this.pending = { changes: [], moves: null }
  }

  undo(): Promise<Saved | null> {
    this.drop()
    return this.save(client.undo)
  }
  redo(): Promise<Saved | null> {
    this.drop()
    return this.save(client.redo)
  }

  /** Opens a number, or closes it when it stands open. */
  touch(key: string): void {
    this.touched = this.touched === key ? '' : key
  }
}

export const store = new Store()
