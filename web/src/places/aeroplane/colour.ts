/** What a colour token of the page comes to, as "rgb(r, g, b)": mixed and scheme-dependent colours are worked out by the browser. */
const pen = typeof document === 'undefined' ? null : document.createElement('canvas').getContext('2d', { willReadFrequently: true })

export function colour(near: HTMLElement, token: string): string {
  const probe = document.createElement('span')
  probe.style.color = `var(${token})`
  near.parentElement?.append(probe)
  const found = getComputedStyle(probe).color
  probe.remove()
  if (!pen) return found
  pen.canvas.width = pen.canvas.height = 1
  pen.fillStyle = found
  pen.fillRect(0, 0, 1, 1)
  const [r, g, b] = pen.getImageData(0, 0, 1, 1).data
  return `rgb(${r}, ${g}, ${b})`
}
