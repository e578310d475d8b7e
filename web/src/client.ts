/** The one door to the server: typed calls, one socket. Whatever the server refuses is thrown as `Refused`. */
import type {
  Boards, Cuts, Differences, Edit, Engines, FileText, Flying, History, Job, Moves, NewTrial, Print, PrinterRead, Push, Refusal, RemarkOn, Saved, SetAside, Start,
  State, Strength, TableRecord, Tidied, Tidy, TwoPersonCheck, Weigh, WholeFile,
} from './types'

export type Units = 'metric' | 'imperial'

/** The server would not do it: why, which places, and both versions when a file changed meanwhile. */
export class Refused extends Error {
  constructor(readonly status: number, readonly refusal: Refusal) {
    super(refusal.says)
  }
}

/** The server could not be reached. */
export class Lost extends Error {}

/** How every answer's words are to be written; null: as the project's file has them. */
let units: Units | null = null

export function speak(system: Units | null): void {
  units = system
}

function address(path: string): string {
  if (!units) return path
  return `${path}${path.includes('?') ? '&' : '?'}units=${units}`
}

async function ask(path: string, init: RequestInit = {}): Promise<Response> {
  let answer: Response
  try {
    answer = await fetch(address(path), { ...init, headers: { 'X-Planewright': '1', ...init.headers } })
  } catch (reason) {
    throw new Lost(String(reason))
  }
  if (!answer.ok) throw new Refused(answer.status, await refusalOf(answer))
  return answer
}

async function refusalOf(answer: Response): Promise<Refusal> {
  try {
    const found = (await answer.json()) as Partial<Refusal>
    return { says: found.says ?? `The server answered ${answer.status}.`, faults: found.faults ?? [], conflict: found.conflict ?? null }
  } catch {
    return { says: `The server answered ${answer.status}.`, faults: [], conflict: null }
  }
}

const get = async <T>(path: string): Promise<T> => (await ask(path)).json() as Promise<T>

const post = async <T>(path: string, body: unknown = {}): Promise<T> => {
  const init = { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) }
  return (await ask(path, init)).json() as Promise<T>
}

const send = async <T>(method: 'PUT' | 'POST', path: string, rows: Blob | string): Promise<T> => {
  const init = { method, headers: { 'Content-Type': 'text/csv' }, body: rows }
  return (await ask(path, init)).json() as Promise<T>
}

const word = encodeURIComponent

export const client = {
  state: () => get<State>('/api/state'),
  /** Vertices and triangles as they come: u32 vertices, u32 triangles, f32 xyz, u32 three per triangle. */
  mesh: async () => (await ask('/api/mesh')).arrayBuffer(),
  preview: (edit: Edit) => post<Moves>('/api/preview', edit),
  edit: (edit: Edit) => post<Saved>('/api/edit', edit),
  weigh: (weighing: Weigh) => post<Saved>('/api/weigh', weighing),
  /** What a weighing would move; `faults` asks about a weight that is hard to believe. */
  weighPreview: (weighing: Weigh) => post<Moves>('/api/weigh/preview', weighing),
  check: (check: TwoPersonCheck) => post<Saved>('/api/check', check),
  trial: (trial: NewTrial) => post<Saved>('/api/trial', trial),
  /** `mend`: keep the bytes beside a table in which what is no number is empty and named. */
  readings: (trial: string, rows: Blob | string, name = 'readings.csv', mend = false) =>
    send<Saved>('PUT', `/api/trial/${word(trial)}/readings?name=${word(name)}${mend ? '&mend=1' : ''}`, rows),
  look: (trial: string, rows: Blob | string, name = 'readings.csv') =>
    send<TableRecord>('POST', `/api/trial/${word(trial)}/readings/look?name=${word(name)}`, rows),
  setAside: (trial: string, aside: SetAside) => post<Saved>(`/api/trial/${word(trial)}/set-aside`, aside),
  remark: (trial: string, remark: RemarkOn) => post<Saved>(`/api/trial/${word(trial)}/remark`, remark),
  calibrate: () => post<Job>('/api/calibrate'),
  file: (name: string) => get<FileText>(`/api/file?name=${word(name)}`),
  saveFile: (file: WholeFile) => post<Saved>('/api/file', file),
  undo: () => post<Saved>('/api/undo'),
  redo: () => post<Saved>('/api/redo'),
  history: () => get<History>('/api/history'),
  differences: (number: number, other?: number) =>
    get<Differences>(`/api/history/${number}${other === undefined ? '' : `?with=${other}`}`),
  back: (number: number) => post<Saved>(`/api/history/${number}/back`),
  start: (start: Start) => post<Saved>('/api/start', start),
  print: (kind: 'book' | 'tiles' | 'sheets', print: Print) => post<Job>(`/api/jobs/${kind}`, print),
  job: (id: string) => get<Job>(`/api/jobs/${word(id)}`),
  cancel: (id: string) => post<Job>(`/api/jobs/${word(id)}/cancel`),
  /** The sheet of the engines, as far as it is worked out. */
  engines: () => get<Engines>('/api/engines'),
  /** The sheet of air and handling, as far as it is worked out. */
  flying: () => get<Flying>('/api/handling'),
  /** The sheet of strength, as far as it is worked out. */
  strength: () => get<Strength>('/api/strength'),
  /** Parts on boards, as far as they are laid. */
  cuts: () => get<Cuts>('/api/cutting'),
  markBoards: (boards: Boards) => post<Cuts>('/api/cutting/mark', boards),
  measurePrinter: (read: PrinterRead) => post<Cuts>('/api/cutting/printer', read),
  tidy: (tidy: Tidy) => post<Tidied>('/api/cutting/tidy', tidy),
  /** Where one sheet's picture is. */
  sheet: (number: number) => `/api/sheets/${number}.svg`,
  /** The same picture as text. */
  sheetPicture: async (number: number) => (await ask(`/api/sheets/${number}.svg`)).text(),
  /** Where a made file is. */
  download: (name: string) => `/api/download/${name.split('/').map(word).join('/')}`,
}

export interface Listener {
  push(word: Push): void
  lost(): void
  open(): void
}

const FIRST_WAIT = 500
const LONGEST_WAIT = 5000

/** Listens to the server until told to stop; comes back by itself when the server does. */
export function listen(listener: Listener): () => void {
  let socket: WebSocket | null = null
  let wait = FIRST_WAIT
  let timer: ReturnType<typeof setTimeout> | undefined
  let stopped = false
  const connect = () => {
    socket = new WebSocket(`${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/ws`)
    socket.onopen = () => {
      wait = FIRST_WAIT
      listener.open()
    }
    socket.onmessage = (event) => listener.push(JSON.parse(String(event.data)) as Push)
    socket.onclose = () => {
      if (stopped) return
      listener.lost()
      timer = setTimeout(connect, wait)
      wait = Math.min(2 * wait, LONGEST_WAIT)
    }
  }
  connect()
  return () => {
    stopped = true
    clearTimeout(timer)
    socket?.close()
  }
}
