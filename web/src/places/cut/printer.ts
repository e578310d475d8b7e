/** What the ruler says about a printer: the bars of a page printed without correction, asked against read. */
export type Paper = 'A4' | 'A3' | 'Letter' | 'Tabloid'

/** Sizes of the papers, portrait, mm. */
export const papers: Record<Paper, readonly [number, number]> = { A4: [210, 297], A3: [297, 420], Letter: [215.9, 279.4], Tabloid: [279.4, 431.8] }

/** Further off than this the page was fitted to the paper, not printed at actual size. */
export const LIMIT = 0.03

const MARGIN = 10

/** Length of the two bars on a page, mm, whole tens: across and up. */
export function bars(paper: Paper): readonly [number, number] {
  const [width, height] = papers[paper]
  const tens = (room: number) => 10 * Math.floor(room / 10)
  return [tens(width - 2 * MARGIN - 20), tens(height - 2 * MARGIN - 37)]
}

export type Reading =
  | { state: 'empty' }
  | { state: 'unread'; says: string }
  | { state: 'far'; says: string }
  /** `hundred`: what 100 mm came out as. */
  | { state: 'taken'; hundred: number; says: string }

/** Reads what was typed for one bar: mm with a point or a comma, with or without the unit. */
export function reading(text: string, asked: number): Reading {
  const words = text.trim()
  if (!words) return { state: 'empty' }
  const found = /^(\d+(?:[.,]\d+)?)\s*(?:mm)?$/.exec(words)
  if (!found?.[1]) return { state: 'unread', says: `Read ${words}. Expected a length in mm, such as ${asked - 1}.5.` }
  const value = Number(found[1].replace(',', '.'))
  const off = value / asked - 1
  const per = `${Math.abs(100 * off).toFixed(1)} %`
  if (Math.abs(off) > LIMIT)
    return { state: 'far', says: `${value} mm for ${asked} mm is ${per} off, more than 3 %. The page was fitted to the paper: print it again at actual size, then measure.` }
  const said = Math.abs(off) < 0.0005 ? 'right as it is' : `pages now print at ${(100 / (1 + off)).toFixed(1)} %`
  return { state: 'taken', hundred: 100 * (1 + off), says: `Read ${value} mm, asked ${asked} mm: ${said}.` }
}
