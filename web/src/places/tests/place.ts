import type { Place } from '../registry'
import view from './Place.svelte'

export default { id: 'tests', name: 'The tests', question: 'What did the tests say?', order: 50, view } satisfies Place
