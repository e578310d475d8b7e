import type { Place } from '../registry'

export default { id: 'flying', name: 'How it flies', question: 'Will it be steady, and can it be steered?', order: 65, view: () => import('./Place.svelte') } satisfies Place
