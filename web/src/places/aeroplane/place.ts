import type { Place } from '../registry'

export default { id: 'aeroplane', name: 'The aeroplane', question: 'Will this shape carry it?', order: 20, view: () => import('./Place.svelte') } satisfies Place
