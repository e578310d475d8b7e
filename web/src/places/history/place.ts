import type { Place } from '../registry'
import view from './Place.svelte'

export default { id: 'history', name: 'History', question: 'What changed, and when?', order: 100, view } satisfies Place
