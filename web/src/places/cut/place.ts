import type { Place } from '../registry'

export default { id: 'cut', name: 'To cut', question: 'What do we cut?', order: 30, view: () => import('./Place.svelte') } satisfies Place
