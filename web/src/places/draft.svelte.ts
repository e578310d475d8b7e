/**
 * Numbers typed or dragged but not saved. Asks the server what they would move, one question under way at a time;
 * Enter or letting go saves, Escape brings back. Refusals stay here, beside the field that was typed.
 */
import { client, Lost, Refused } from '../client'
import { store } from '../state.svelte'
import type { Change, FaultRecord, Field } from '../types'

export const keyOf = (field: Field) => `${field.file}:${field.path}`

/** A fault in one line, beside its field: "Reads 4,12 kg. Expected 80 to 300 g. Was it 412 g?" */
export function adviceOf(one: FaultRecord): string {
  const sentence = (words: string) => {
    const bare = words.trim().replace(/\.+$/, '')
    return bare ? `${bare.charAt(0).toUpperCase()}${bare.slice(1)}.` : ''
  }
  return [one.read, one.expected, one.advice].map(sentence).filter(Boolean).join(' ')
}

class Draft {
  private texts = $state.raw<ReadonlyMap<string, { field: Field; text: string }>>(new Map())
  /** What the server says against what is typed. */
  faults = $state.raw<readonly FaultRecord[]>([])
  says = $state('')
  private asking: Promise<void> | null = null
  /** The changes that the last answer was about. */
  private asked: Change[] = []
  private again = false
  private waiting: ReturnType<typeof setTimeout> | undefined

  get empty(): boolean {
    return this.texts.size === 0
  }
  get count(): number {
    return this.texts.size
  }
  /** What stands in a field: typed, or as written. */
  text(field: Field): string {
    return this.texts.get(keyOf(field))?.text ?? field.text
  }
  has(field: Field): boolean {
    return this.texts.has(keyOf(field))
  }
  /** What the server says against one field: it names the place as a path or in words. */
  against(field: Field): FaultRecord[] {
    if (!this.has(field)) return []
    const words = `${field.group}, ${field.name}`
    return this.faults.filter((one) => one.file === field.file && (one.path === field.path || one.path === words || this.texts.size === 1))
  }

  /** Puts a text in a field; after a little rest, or at once while dragging, asks what it would move. */
  type(field: Field, text: string, rest = 150): void {
    const next = new Map(this.texts)
    if (text === field.text) next.delete(keyOf(field))
    else next.set(keyOf(field), { field, text })
    this.texts = next
    this.faults = []
    this.says = ''
    clearTimeout(this.waiting)
    if (rest) this.waiting = setTimeout(() => void this.ask(), rest)
    else void this.ask()
  }

  private changes(): Change[] {
    return [...this.texts.values()].map(({ field, text }) => ({ file: field.file, path: field.path, text, do: 'set' }))
  }

  /** One question at a time; what is typed meanwhile is asked after it. */
  private ask(): Promise<void> {
    if (this.asking) this.again = true
    else
      this.asking = this.untilDone().finally(() => {
        this.asking = null
      })
    return this.asking ?? Promise.resolve()
  }

  private async untilDone(): Promise<void> {
    do {
      this.again = false
      await this.once(this.changes())
    } while (this.again)
  }

  private async once(changes: Change[]): Promise<void> {
    if (changes.length === 0) {
      store.drop()
      return
    }
    try {
      const moves = await client.preview({ revision: store.state?.revision ?? 0, changes })
      if (this.texts.size === 0) return
      const taken = moves.faults.length === 0 && (moves.document !== null || store.document === null)
      store.pending = { changes, moves: taken ? moves : null }
      if (this.again) return
      this.asked = changes
      this.faults = moves.faults
      this.says = taken ? '' : moves.says
    } catch (reason) {
      if (!(reason instanceof Refused)) {
        if (reason instanceof Lost) store.lost = true
        else throw reason
        return
      }
      if (this.again) return
      this.faults = reason.refusal.faults
      this.says = reason.refusal.says
      store.pending = { changes, moves: null }
    }
  }

  /** Typed by hand, where a word can be wrong; a ring always writes what can be read. */
  private fromKeys(changes: Change[]): boolean {
    return changes.some((one) => !/^-?\d+(\.\d+)?( \w+)?$/.test(one.text ?? ''))
  }

  /** Saves everything typed. What is typed stays when it is refused. */
  async save(says = ''): Promise<boolean> {
    const changes = this.changes()
    if (changes.length === 0) return true
    clearTimeout(this.waiting)
    // What is already known not to be taken is not sent again.
    const same = JSON.stringify(this.asked) === JSON.stringify(changes)
    if (!same && this.fromKeys(changes)) await this.ask()
    if (this.says) return false
    const saved = await store.saveChanges(changes, says)
    if (saved) {
      this.back()
      return true
    }
    if (store.refused) {
      this.faults = store.refused.faults
      this.says = store.refused.says
      store.refused = null
    }
    return false
  }

  /** Forgets one field, or everything typed. */
  back(field?: Field): void {
    clearTimeout(this.waiting)
    if (field && this.texts.size > 1) {
      this.type(field, field.text)
      return
    }
    this.again = false
    this.texts = new Map()
    this.faults = []
    this.says = ''
    store.drop()
  }
}

export const draft = new Draft()
