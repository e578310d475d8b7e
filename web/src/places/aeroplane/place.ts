import type { Place } from '../registry'
import view from './Place.svelte'

export default { id: 'aeroplane', name: 'The aeroplane', question: 'Will this shape carry it?', order: 20, view } satisfies Place
