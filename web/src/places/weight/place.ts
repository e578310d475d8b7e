import type { Place } from '../registry'
import view from './Place.svelte'

export default { id: 'weight', name: 'The weight', question: 'What does it weigh, and where does it balance?', order: 40, view } satisfies Place
