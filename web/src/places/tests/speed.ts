/** The graph of lift against speed, its lines drawn as what they are known from. Pure. */
import type { Chart, Figure } from '../../types'
import { kindOf } from '../../units/words'

/** The figure that each line of the chart rests on most. */
const RESTS: Record<string, string> = { 'most lift': 'maximum_lift_coefficient', weight: 'mass' }

export function speedChart(charts: readonly Chart[], figures: Record<string, Figure>): Chart | undefined {
  const chart = charts.find((one) => one.id === 'lift_against_speed')
  if (!chart) return undefined
  return {
    ...chart,
    series: chart.series.map((one) => {
      const figure = figures[RESTS[one.words] ?? '']
      return figure ? { ...one, kind: kindOf(figure) } : one
    }),
  }
}
