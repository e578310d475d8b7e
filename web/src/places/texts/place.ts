import type { Place } from '../registry'
import view from './Place.svelte'

export default { id: 'texts', name: 'The files', question: 'What stands in the files?', order: 110, view } satisfies Place
