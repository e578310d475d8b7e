import type { Place } from '../registry'

export default { id: 'tests', name: 'The tests', question: 'What did the tests say?', order: 50, view: () => import('./Place.svelte') } satisfies Place
