import type { Place } from '../registry'
import view from './Place.svelte'

export default { id: 'ready', name: 'Are we ready', question: 'Are we ready?', order: 80, view } satisfies Place
