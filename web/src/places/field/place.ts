import type { Place } from '../registry'

export default { id: 'field', name: 'The field', question: 'Where does it fly, and where do we stand?', order: 70, view: () => import('./Place.svelte') } satisfies Place
