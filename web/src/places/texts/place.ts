import type { Place } from '../registry'

export default { id: 'texts', name: 'The files', question: 'What stands in the files?', order: 110, view: () => import('./Place.svelte') } satisfies Place
