/** Lines of a text and what is asked about them. Pure. */
import type { FaultRecord } from '../../types'

/** Advice of one file by its line; line 0 holds what is about the whole file. */
export function byLine(faults: readonly FaultRecord[], file: string): Map<number, FaultRecord[]> {
  const found = new Map<number, FaultRecord[]>()
  for (const one of faults) {
    if (one.file !== file) continue
    found.set(one.line, [...(found.get(one.line) ?? []), one])
  }
  return new Map([...found].sort(([a], [b]) => a - b))
}

/** Where a line (1-based) begins and ends in a text. */
export function place(text: string, line: number): [number, number] {
  const lines = text.split('\n')
  const before = lines.slice(0, Math.max(line - 1, 0)).reduce((total, one) => total + one.length + 1, 0)
  return [Math.min(before, text.length), Math.min(before + (lines[line - 1]?.length ?? 0), text.length)]
}

export function countLines(text: string): number {
  return text.split('\n').length
}
