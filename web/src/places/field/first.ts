/** The first site.toml of a project: a name, a rectangle and how it lies; everything else is then put on it. */

export interface First {
  name: string
  long: string
  wide: string
  bearing: string
}

const number = (words: string): number => Number(words.trim().replace(',', '.'))

/** What is amiss with what was typed; "" for nothing. */
export function amissIn(first: First, unit: string): string {
  if (!first.name.trim()) return 'A field has a name: write one.'
  if (!(number(first.long) > 0) || !(number(first.wide) > 0)) return `Length and width are numbers in ${unit}, for instance 200 and 120.`
  const bearing = number(first.bearing)
  if (!first.bearing.trim() || !(bearing >= 0 && bearing < 360)) return 'The bearing is a number from 0 to 359: 0 is north, 90 east.'
  return ''
}

/** The file: x along the long side from one corner, y to its left. */
export function textOf(first: First, unit: string): string {
  const [x, y] = [number(first.long), number(first.wide)]
  return [
    `name = ${JSON.stringify(first.name.trim())}`,
    `x_bearing = "${number(first.bearing)} deg"   # x runs along the long side, y to its left`,
    `unit = "${unit}"   # for every point and height below`,
    `outline = [[0, 0], [${x}, 0], [${x}, ${y}], [0, ${y}]]`,
    '',
  ].join('\n')
}
