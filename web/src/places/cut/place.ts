import type { Place } from '../registry'
import view from './Place.svelte'

export default { id: 'cut', name: 'To cut', question: 'What do we cut?', order: 30, view } satisfies Place
