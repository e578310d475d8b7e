import type { Place } from '../registry'

export default { id: 'history', name: 'History', question: 'What changed, and when?', order: 100, view: () => import('./Place.svelte') } satisfies Place
