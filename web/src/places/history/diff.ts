/** Unified difference lines as they are shown. Pure. */
export interface Line {
  look: 'same' | 'gone' | 'new' | 'head'
  text: string
}

/** " same", "-before", "+after", "@@ ... @@". */
export function lineOf(line: string): Line {
  if (line.startsWith('@@') || line.startsWith('---') || line.startsWith('+++')) return { look: 'head', text: line }
  const look = line.startsWith('-') ? 'gone' : line.startsWith('+') ? 'new' : 'same'
  return { look, text: line.slice(1) }
}

/** How many lines came and went: "2 lines new, 1 gone". */
export function tally(lines: readonly string[]): string {
  const shown = lines.map(lineOf)
  const count = (look: Line['look']) => shown.filter((one) => one.look === look).length
  const [fresh, gone] = [count('new'), count('gone')]
  const words = (number: number, what: string) => `${number} ${number === 1 ? 'line' : 'lines'} ${what}`
  return [fresh ? words(fresh, 'new') : '', gone ? words(gone, 'gone') : ''].filter(Boolean).join(', ') || 'no line changed'
}

/** "25 November, 14:32": a saved moment. */
export function moment(when: string): string {
  const at = new Date(when)
  if (Number.isNaN(at.getTime())) return when
  const names = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December']
  return `${at.getDate()} ${names[at.getMonth()]}, ${String(at.getHours()).padStart(2, '0')}:${String(at.getMinutes()).padStart(2, '0')}`
}

/** True where a key means the text being typed, not the project. */
export function typing(target: EventTarget | null): boolean {
  if (typeof HTMLElement === 'undefined' || !(target instanceof HTMLElement)) return false
  return target.isContentEditable || /^(TEXTAREA|SELECT)$/.test(target.tagName) || (target.tagName === 'INPUT' && !/^(checkbox|radio|button|range)$/.test((target as HTMLInputElement).type))
}

/** What a key asks of the project: Ctrl or Command with Z, with Shift for redo; Ctrl with Y too. */
export function asked(event: Pick<KeyboardEvent, 'key' | 'ctrlKey' | 'metaKey' | 'shiftKey' | 'altKey'>): 'undo' | 'redo' | null {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return null
  const key = event.key.toLowerCase()
  if (key === 'z') return event.shiftKey ? 'redo' : 'undo'
  return key === 'y' && !event.shiftKey ? 'redo' : null
}

/** A sentence with a capital, but not where it begins with a file's or a part's name. */
export function opened(words: string): string {
  return /^[^\s:]*[./=_]/.test(words) ? words : words.charAt(0).toUpperCase() + words.slice(1)
}
