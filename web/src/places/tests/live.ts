/** Rows as typed or dropped, plotted at once: raw columns, nothing worked out yet. Pure. */
import type { Chart, Series, TableRecord } from '../../types'

/** A cell as a number; a decimal comma is read as a point; NaN for anything else. */
export function cell(text: string | undefined): number {
  const plain = (text ?? '').trim().replace('\u2212', '-').replace(/^([-+]?\d+),(\d+)$/, '$1.$2')
  return /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i.test(plain) ? Number(plain) : NaN
}

interface Wanted {
  x: string
  xWords: string
  xUnit: string
  y: readonly { of: readonly string[]; words: string; look: Series['look'] }[]
  yWords: string
  yUnit: string
}

const WANTED: Record<string, Wanted> = {
  vehicle: { x: 'speed_kmh', xWords: 'speed', xUnit: 'km/h', yWords: 'both cells together', yUnit: 'N', y: [{ of: ['front_N', 'rear_N'], words: 'both cells', look: 'dots' }] },
  bend: {
    x: 'load_each_side_g', xWords: 'load each side', xUnit: 'g', yWords: 'height of a tip', yUnit: 'mm',
    y: [{ of: ['tip_left_mm'], words: 'left tip', look: 'dots' }, { of: ['tip_right_mm'], words: 'right tip', look: 'squares' }],
  },
  thrust: { x: 'second', xWords: 'time', xUnit: 's', yWords: 'cell', yUnit: 'g', y: [{ of: ['cell_g'], words: 'cell', look: 'dots' }] },
  balance: {
    x: 'repeat', xWords: 'repeat', xUnit: '', yWords: 'scale', yUnit: 'g',
    y: [{ of: ['right_g'], words: 'right', look: 'dots' }, { of: ['left_g'], words: 'left', look: 'squares' }, { of: ['nose_g'], words: 'nose', look: 'out' }],
  },
  proof: { x: 'step', xWords: 'step', xUnit: '', yWords: 'hung', yUnit: 'g', y: [{ of: ['hung_g'], words: 'hung', look: 'dots' }] },
  weighing: { x: 'piece', xWords: 'piece', xUnit: '', yWords: 'mass', yUnit: 'g', y: [{ of: ['mass_g'], words: 'mass', look: 'dots' }] },
  coupon: { x: 'load_g', xWords: 'load', xUnit: 'g', yWords: 'middle', yUnit: 'mm', y: [{ of: ['middle_mm'], words: 'middle', look: 'dots' }] },
  battery: { x: 'second', xWords: 'time', xUnit: 's', yWords: 'pack', yUnit: 'V', y: [{ of: ['volts'], words: 'volts', look: 'dots' }] },
  taxi: { x: 'speed_mps', xWords: 'speed', xUnit: 'm/s', yWords: 'rolled', yUnit: 'm', y: [{ of: ['stop_m'], words: 'rolled', look: 'dots' }] },
  pull: { x: 'run', xWords: 'run', xUnit: '', yWords: 'pull', yUnit: 'N', y: [{ of: ['pull_N'], words: 'pull', look: 'dots' }] },
}

/** The chart of a kind's rows as they stand; null where its columns are not there. Out and back are told apart. */
export function livePlot(kind: string, table: TableRecord, id = 'live'): Chart | null {
  const wanted = WANTED[kind]
  const of = (head: string) => table.heads.findIndex((one) => one.trim().toLowerCase() === head.toLowerCase())
  if (!wanted || of(wanted.x) < 0) return null
  const xs = table.rows.map((row) => cell(row[of(wanted.x)]))
  const heading = of('heading')
  const series: Series[] = []
  for (const one of wanted.y) {
    if (one.of.some((head) => of(head) < 0)) continue
    const ys = table.rows.map((row) => one.of.reduce((total, head) => total + cell(row[of(head)]), 0))
    const ways = wanted.y.length === 1 && heading >= 0 ? (['out', 'back', ''] as const) : (['all'] as const)
    for (const way of ways) {
      const use = table.rows.map((row, i) => Number.isFinite(xs[i]) && Number.isFinite(ys[i]) && (way === 'all' || wayOf(row[heading]) === way))
      if (!use.some(Boolean)) continue
      series.push({
        words: way === 'out' || way === 'back' ? way : one.words, x: xs.filter((_, i) => use[i]), y: ys.filter((_, i) => use[i]),
        look: way === 'out' || way === 'back' ? way : one.look, low: [], high: [], kind: 'measured', notes: [],
      })
    }
  }
  if (!series.length) return null
  return {
    id, title: 'The rows as they stand', series, marks: [], stick: null, notes: ['As written, nothing taken off and nothing worked out.'],
    x: { words: wanted.xWords, unit: wanted.xUnit, low: null, high: null, zero: false },
    y: { words: wanted.yWords, unit: wanted.yUnit, low: null, high: null, zero: false },
  }
}

function wayOf(text: string | undefined): 'out' | 'back' | '' {
  const word = (text ?? '').trim().toLowerCase()
  return word === 'out' || word === 'back' ? word : ''
}

/** A number of rows in words: "1 row", "40 rows". */
export function rowsWords(count: number): string {
  return `${count} ${count === 1 ? 'row' : 'rows'}`
}
