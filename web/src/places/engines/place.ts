import type { Place } from '../registry'

export default { id: 'engines', name: 'The engines', question: 'Do they push enough, and for how long?', order: 60, view: () => import('./Place.svelte') } satisfies Place
