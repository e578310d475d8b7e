import type { Place } from '../registry'

export default { id: 'weight', name: 'The weight', question: 'What does it weigh, and where does it balance?', order: 40, view: () => import('./Place.svelte') } satisfies Place
