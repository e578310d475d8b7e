import type { Place } from '../registry'

export default { id: 'ready', name: 'Are we ready', question: 'Are we ready?', order: 80, view: () => import('./Place.svelte') } satisfies Place
