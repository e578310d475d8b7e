import type { Place } from '../registry'
import view from './Place.svelte'

export default { id: 'field', name: 'The field', question: 'Where does it fly, and where do we stand?', order: 70, view } satisfies Place
