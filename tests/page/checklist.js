// What the checklist looks at in a page. Each function answers the faults it found, as words.
window.checklist = (() => {
  const shown = (one) => one.checkVisibility({ opacityProperty: true, visibilityProperty: true })
  const name = (one) => `${one.tagName.toLowerCase()}.${one.getAttribute('class') ?? ''} "${one.textContent.trim().slice(0, 50)}"`

  /** Every visible piece of text with the box it is drawn in. */
  function texts() {
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT)
    const found = []
    while (walk.nextNode()) {
      const node = walk.currentNode
      const parent = node.parentElement
      if (!node.textContent.trim() || !parent || !shown(parent) || parent.closest('.hidden-words, .skip, select, option, script, style, noscript, [data-picture]')) continue
      const range = document.createRange()
      range.selectNodeContents(node)
      for (const box of range.getClientRects()) if (box.width > 1 && box.height > 1) found.push({ parent, box, words: node.textContent.trim() })
    }
    return found
  }

  /** Boxes of scrolling parents cut what is drawn. */
  function clipped(one) {
    for (let up = one.parent; up; up = up.parentElement) {
      const style = getComputedStyle(up)
      if (style.overflowX === 'visible' && style.overflowY === 'visible') continue
      const box = up.getBoundingClientRect()
      if (one.box.right <= box.left + 1 || one.box.left >= box.right - 1 || one.box.bottom <= box.top + 1 || one.box.top >= box.bottom - 1) return true
    }
    return false
  }

  /** Pairs of texts whose boxes lie on each other by more than their line spacing. */
  function overlaps() {
    const all = texts().filter((one) => !clipped(one) && !one.parent.closest('aside'))
    const faults = []
    for (let i = 0; i < all.length; i++)
      for (let j = i + 1; j < all.length; j++) {
        const [a, b] = [all[i], all[j]]
        if (a.parent === b.parent || a.parent.contains(b.parent) || b.parent.contains(a.parent)) continue
        // the same words twice at one place are a text on its own halo
        if (a.words === b.words && Math.abs(a.box.left - b.box.left) < 3 && Math.abs(a.box.top - b.box.top) < 3) continue
        const wide = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left)
        const tall = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top)
        if (wide > 2 && tall > 0.3 * Math.min(a.box.height, b.box.height)) faults.push(`"${a.words.slice(0, 40)}" on "${b.words.slice(0, 40)}"`)
      }
    return faults.slice(0, 10)
  }

  const parse = (colour) => {
    const found = colour.match(/rgba?\(([\d.]+),? ([\d.]+),? ([\d.]+)(?:,? ?\/? ?([\d.]+))?\)/)
    return found ? [1, 2, 3, 4].map((i) => (found[i] === undefined ? 1 : Number(found[i]))) : null
  }
  const over = (top, under) => [0, 1, 2].map((i) => top[i] * top[3] + under[i] * (1 - top[3])).concat(1)
  const luminance = (c) => {
    const [r, g, b] = c.slice(0, 3).map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4))
    return 0.2126 * r + 0.7152 * g + 0.0722 * b
  }
  function ground(one) {
    const layers = []
    for (let up = one; up; up = up.parentElement) {
      const colour = parse(getComputedStyle(up).backgroundColor)
      if (colour && colour[3] > 0) layers.push(colour)
      if (colour && colour[3] === 1) break
    }
    return layers.reverse().reduce((under, top) => over(top, under), [255, 255, 255, 1])
  }

  /** Texts with less contrast than 4.5, or 3 when large. Pictures are looked at by eye. */
  function faint() {
    const faults = new Set()
    for (const { parent, words } of texts()) {
      const style = getComputedStyle(parent)
      if (parent.closest(':disabled')) continue
      const colour = parse(parent.ownerSVGElement ? style.fill : style.color)
      if (!colour) continue
      const under = ground(parent)
      const [a, b] = [luminance(over(colour, under)), luminance(under)].sort((x, y) => y - x)
      const ratio = (a + 0.05) / (b + 0.05)
      const size = parseFloat(style.fontSize)
      const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700)
      if (ratio < (large ? 3 : 4.5)) faults.add(`${ratio.toFixed(2)} ${name(parent)}`)
    }
    return [...faults].slice(0, 10)
  }

  function tiny(least) {
    return [...new Set(texts().filter((one) => parseFloat(getComputedStyle(one.parent).fontSize) < least - 0.01).map((one) => name(one.parent)))].slice(0, 10)
  }

  /** What makes the page wider than its window. */
  function wider() {
    const width = document.documentElement.clientWidth
    if (document.documentElement.scrollWidth <= width) return []
    const wide = [...document.querySelectorAll('main *, aside *')].filter((one) => shown(one) && one.getBoundingClientRect().right > width + 1)
    return wide.slice(0, 6).map((one) => `${Math.round(one.getBoundingClientRect().right)} > ${width}: ${name(one)}`)
  }

  /** Texts that are cut by their own box and cannot be scrolled to. */
  function cut() {
    return [...document.querySelectorAll('main *')]
      .filter((one) => shown(one) && !one.ownerSVGElement && one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).overflowX === 'hidden' && one.clientWidth > 1)
      .map(name).slice(0, 6)
  }

  function targets(least) {
    return [...document.querySelectorAll('button, select, input:not([type=checkbox], [type=radio], [type=file]), textarea, summary')]
      .filter((one) => shown(one) && !one.closest('.skip, .mat'))
      .filter((one) => Math.round(one.getBoundingClientRect().height) < least)
      .map((one) => `${Math.round(one.getBoundingClientRect().height)} px: ${name(one)}`).slice(0, 10)
  }

  /** Texts on paper that are not nearly black on nearly white. */
  function coloured() {
    const faults = new Set()
    for (const { parent } of texts()) {
      const style = getComputedStyle(parent)
      const colour = parse(parent.ownerSVGElement ? style.fill : style.color)
      if (colour && luminance(over(colour, [255, 255, 255, 1])) > 0.1) faults.add(`light ink ${name(parent)}`)
      if (luminance(ground(parent)) < 0.9) faults.add(`dark ground ${name(parent)}`)
    }
    for (const one of document.querySelectorAll('button:not(.prints)')) if (shown(one)) faults.add(`a button ${name(one)}`)
    return [...faults].slice(0, 10)
  }

  return { overlaps, faint, tiny, wider, cut, targets, coloured }
})()
