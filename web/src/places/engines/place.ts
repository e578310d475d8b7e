import type { Place } from '../registry'
import view from './Place.svelte'

export default { id: 'engines', name: 'The engines', question: 'Do they push enough, and for how long?', order: 60, view } satisfies Place
