import type { Place } from '../registry'

export default { id: 'strength', name: 'Strength', question: 'Is it strong enough, and what breaks first?', order: 45, view: () => import('./Place.svelte') } satisfies Place
