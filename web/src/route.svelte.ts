/** Which place is shown: the hash "#/weight", so that a place can be linked to and the browser's back works. */
class Route {
  place = $state('')
  /** What stands after the place: "#/tests/bend" gives "bend". */
  rest = $state('')

  read(): void {
    const [, place = '', ...rest] = location.hash.split('/')
    if (!location.hash || location.hash.startsWith('#/')) {
      this.place = place
      this.rest = rest.map(decodeURIComponent).join('/')
    }
  }
}

export const route = new Route()

export function to(place: string, rest = ''): string {
  return `#/${place}${rest ? `/${encodeURIComponent(rest)}` : ''}`
}
