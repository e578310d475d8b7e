/** The one weighing being typed: asks what it would move, keeps the text when it is refused. */
import { client, Refused } from '../../client'
import { store } from '../../state.svelte'
import type { FaultRecord, Weigh } from '../../types'

const PAUSE = 120 // ms without a key before the future is asked for

class Draft {
  /** The part whose field is being typed in; "" for none. */
  part = $state('')
  text = $state('')
  /** Questions about what is typed (a weight hard to believe), or why it cannot be read. */
  asks = $state.raw<readonly FaultRecord[]>([])
  unreadable = $state('')
  who = $state(localStorage.getItem('planewright.weighed-by') ?? '')
  note = $state('')
  when = $state(today())

  private timer: ReturnType<typeof setTimeout> | undefined
  private asked = 0

  get weighing(): Weigh {
    return { part: this.part, mass: this.text.trim(), when: this.when, who: this.who.trim(), note: this.note.trim() }
  }

  type(part: string, text: string): void {
    if (part !== this.part) this.note = ''
    this.part = part
    this.text = text
    clearTimeout(this.timer)
    this.timer = setTimeout(() => void this.look(), PAUSE)
  }

  private async look(): Promise<void> {
    const mine = ++this.asked
    if (!this.part || !this.text.trim()) return this.show([], '', mine)
    try {
      const moves = await client.weighPreview(this.weighing)
      const unread = moves.faults.some((one) => one.severity === 'fault')
      // A weight that is hard to believe does not count until it was looked at again: show what it would do then.
      const shown = moves.faults.length && !unread ? await client.weighPreview(this.looked(this.weighing)) : moves
      if (mine !== this.asked) return
      store.pending = { changes: [], moves: unread ? null : shown }
      this.show(moves.faults, unread ? moves.says : '', mine)
    } catch (reason) {
      if (mine !== this.asked || !(reason instanceof Refused)) return
      store.pending = { changes: [], moves: null }
      this.show(reason.refusal.faults, reason.refusal.says, mine)
    }
  }

  private show(asks: readonly FaultRecord[], unreadable: string, mine: number): void {
    if (mine !== this.asked) return
    if (!this.text.trim()) store.drop()
    this.asks = asks
    this.unreadable = unreadable
  }

  /** The weighing with the word in its note that says it was looked at again. */
  private looked(weighing: Weigh): Weigh {
    return { ...weighing, note: ['checked', weighing.note].filter(Boolean).join(' ') }
  }

  /** Saves one line; `checked` says in the note that an unlikely weight was looked at again. */
  async save(checked = false): Promise<boolean> {
    if (!this.part || !this.text.trim()) return false
    localStorage.setItem('planewright.weighed-by', this.who.trim())
    const weighing = checked ? this.looked(this.weighing) : this.weighing
    const saved = await store.save(() => client.weigh(weighing))
    if (saved) this.leave()
    return saved !== null
  }

  leave(): void {
    clearTimeout(this.timer)
    this.asked++
    this.part = ''
    this.text = ''
    this.note = ''
    this.asks = []
    this.unreadable = ''
    store.drop()
  }
}

function today(): string {
  const now = new Date()
  return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`
}

export const draft = new Draft()
