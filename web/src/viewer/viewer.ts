/**
 * The turned view: flat facets, their edges, a shadow on a half-metre grid. No framework; draws only when something
 * changed. Axes: x aft, y right, z up, m.
 */
import {
  AmbientLight, BufferAttribute, BufferGeometry, CanvasTexture, DirectionalLight, DoubleSide, Group,
  LineBasicMaterial, LineSegments, type Material, Matrix4, Mesh, MeshBasicMaterial, MeshLambertMaterial, PerspectiveCamera,
  RepeatWrapping, Scene, SRGBColorSpace, Vector3, WebGLRenderer,
} from 'three'
import type { PartClass, Pattern } from './ask'
import { box, edges, facets, lettered, runs, type Facets } from './mesh'
import { eye, HOME, keyed, said, turned, zoomed, type Orbit } from './orbit'

/** Colours of the page by token. */
export type Look = (token: string) => string

/** A letter of the key where it stands in the picture, px. */
export interface Letter {
  letter: string
  x: number
  y: number
}

export interface ViewerOptions {
  look: Look
  /** After each picture: where the letters stand, and from where we look. */
  drawn(letters: Letter[], from: string): void
  /** The browser took the picture away. */
  lost(): void
}

interface Slice {
  first: number
  count: number
}

const FIELD_OF_VIEW = 24
const SHEAR = { x: 0.35, y: 0.45 } // how far the shadow moves for each metre of height
const TILE = 0.09 // m of aeroplane to one tile of a pattern
const GRID = 0.5

export class Viewer {
  private readonly renderer: WebGLRenderer
  private readonly scene = new Scene()
  private readonly camera = new PerspectiveCamera(FIELD_OF_VIEW, 1, 0.05, 100)
  private readonly stage = new Group()
  private shapes: Facets | null = null
  private lines: Float32Array<ArrayBufferLike> = new Float32Array()
  private ground = 0
  private parts: readonly Slice[] = []
  private of: readonly number[] = []
  private classes: readonly PartClass[] = []
  private orbit: Orbit = HOME
  private target: [number, number, number] = [0, 0, 0]
  private distance = 5
  private asked = 0
  /** Made once for each look, kept until the colours change: a material thrown away takes its program along. */
  private readonly kept = new Map<string, Material>()
  private readonly fingers = new Map<number, { x: number; y: number }>()
  private readonly stop = new AbortController()
  /** Pictures drawn so far. */
  frames = 0

  /** Raises when the browser gives no WebGL. */
  constructor(private readonly canvas: HTMLCanvasElement, private readonly options: ViewerOptions) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true, alpha: true })
    this.renderer.setClearAlpha(0)
    this.renderer.debug.checkShaderErrors = false // asking waits for the graphics; the programs are the library's own
    this.camera.up.set(0, 0, 1)
    const sun = new DirectionalLight(0xffffff, 1.5)
    sun.position.set(-SHEAR.x, -SHEAR.y - 0.4, 1.4)
    this.scene.add(new AmbientLight(0xffffff, 1.9), sun, this.stage)
    this.listen()
  }

  // ---- what is shown

  /** A mesh with the classes of its parts, in one picture. */
  setMesh(buffer: ArrayBuffer, parts: readonly Slice[], classes: readonly PartClass[], of: readonly number[]): void {
    this.shapes = facets(buffer)
    this.parts = parts
    this.classes = classes
    this.of = of
    const { low, high } = box(this.shapes.points)
    this.target = [0, 1, 2].map((axis) => ((low[axis] ?? 0) + (high[axis] ?? 0)) / 2) as [number, number, number]
    const size = Math.hypot(...[0, 1, 2].map((axis) => (high[axis] ?? 0) - (low[axis] ?? 0)))
    this.distance = (0.31 * size) / Math.tan((FIELD_OF_VIEW * Math.PI) / 360)
    this.lines = edges(this.shapes.points)
    this.ground = low[2]
    this.build()
  }

  /** Other colours on the same mesh; the same ones again cost nothing. */
  setClasses(classes: readonly PartClass[], of: readonly number[]): void {
    const same = JSON.stringify([this.classes, this.of]) === JSON.stringify([classes, of])
    this.classes = classes
    this.of = of
    if (!same) this.build()
  }

  /** Colours changed: light or dark. */
  repaint(): void {
    this.forget()
    this.build()
  }

  private build(): void {
    const { shapes, ground } = this
    if (!shapes || this.classes.length === 0 || this.of.length !== this.parts.length) return
    this.clear()
    const geometry = new BufferGeometry()
    geometry.setAttribute('position', new BufferAttribute(shapes.points, 3))
    geometry.setAttribute('uv', new BufferAttribute(shapes.places, 2))
    geometry.computeVertexNormals()
    for (const run of runs(this.parts, this.of)) geometry.addGroup(3 * run.first, 3 * run.count, run.kind)
    const lines = new BufferGeometry()
    lines.setAttribute('position', new BufferAttribute(this.lines, 3))
    this.stage.add(new Mesh(geometry, this.classes.map((one) => this.material(one))))
    const ink = this.once('edge', () => new LineBasicMaterial({ color: this.options.look('--view-edge'), transparent: true, opacity: 0.7 }))
    this.stage.add(new LineSegments(lines, ink))
    this.stage.add(this.shadow(geometry, ground), this.grid(ground))
    this.draw()
  }

  private once<M extends Material>(key: string, make: () => M): M {
    const found = this.kept.get(key) ?? make()
    this.kept.set(key, found)
    return found as M
  }

  private material(one: PartClass): MeshLambertMaterial {
    return this.once(`${one.pattern} ${one.token} ${one.clear}`, () => {
      const map = pattern(one.pattern, this.options.look(one.token), this.options.look('--view-hatch'))
      const clear = one.clear ? { transparent: true, opacity: 0.35, depthWrite: false } : {}
      return new MeshLambertMaterial({ map, side: DoubleSide, flatShading: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, ...clear })
    })
  }

  private shadow(geometry: BufferGeometry, ground: number): Mesh {
    const mesh = new Mesh(geometry, this.once('shadow', () => new MeshBasicMaterial({ color: this.options.look('--view-shadow'), side: DoubleSide })))
    const { x, y } = SHEAR
    const low = ground - 0.003
    mesh.matrix = new Matrix4().set(1, 0, x, -x * ground, 0, 1, y, -y * ground, 0, 0, 0, low, 0, 0, 0, 1)
    mesh.matrixAutoUpdate = false
    return mesh
  }

  private grid(ground: number): LineSegments {
    const reach = Math.ceil((1.9 * this.distance * Math.tan((FIELD_OF_VIEW * Math.PI) / 360)) / GRID + 1) * GRID
    const middle = this.target.map((one) => Math.round(one / GRID) * GRID)
    const lines: number[] = []
    for (let at = -reach; at <= reach + 1e-9; at += GRID) {
      lines.push(middle[0]! + at, middle[1]! - reach, ground, middle[0]! + at, middle[1]! + reach, ground)
      lines.push(middle[0]! - reach, middle[1]! + at, ground, middle[0]! + reach, middle[1]! + at, ground)
    }
    const geometry = new BufferGeometry()
    geometry.setAttribute('position', new BufferAttribute(new Float32Array(lines), 3))
    return new LineSegments(geometry, this.once('grid', () => new LineBasicMaterial({ color: this.options.look('--view-grid') })))
  }

  private clear(): void {
    this.stage.traverse((one) => {
      if (one instanceof Mesh || one instanceof LineSegments) one.geometry.dispose()
    })
    this.stage.clear()
  }

  private forget(): void {
    for (const one of this.kept.values()) {
      if (one instanceof MeshLambertMaterial) one.map?.dispose()
      one.dispose()
    }
    this.kept.clear()
  }

  // ---- looking

  /** Asks for one picture; many askings before it is drawn make one. */
  draw(): void {
    if (this.asked) return
    this.asked = requestAnimationFrame(() => {
      this.asked = 0
      this.render()
    })
  }

  private render(): void {
    const { clientWidth: width, clientHeight: height } = this.canvas
    if (!width || !height) return
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2))
    this.renderer.setSize(width, height, false)
    this.camera.aspect = width / height
    this.camera.position.set(...(eye(this.orbit, this.target, this.distance * Math.max(1, 1.45 / this.camera.aspect)) as [number, number, number]))
    this.camera.lookAt(...this.target)
    this.camera.updateProjectionMatrix()
    this.camera.updateMatrixWorld()
    this.renderer.render(this.scene, this.camera)
    this.frames += 1
    this.canvas.dataset.frames = String(this.frames)
    this.options.drawn(this.letters(width, height), said(this.orbit))
  }

  private letters(width: number, height: number): Letter[] {
    if (!this.shapes) return []
    return lettered(this.shapes.points, this.parts, this.of, this.classes).map(({ letter, at }) => {
      const seen = new Vector3(...at).project(this.camera)
      return { letter, x: ((seen.x + 1) / 2) * width, y: ((1 - seen.y) / 2) * height }
    })
  }

  look(orbit: Orbit): void {
    this.orbit = orbit
    this.draw()
  }

  home(): void {
    this.look(HOME)
  }

  nearer(factor: number): void {
    this.look(zoomed(this.orbit, factor))
  }

  turn(aside: number, up: number): void {
    this.look(turned(this.orbit, aside, up))
  }

  // ---- mouse, touch, keys

  private listen(): void {
    const { canvas, stop: { signal } } = this
    canvas.addEventListener('pointerdown', (event) => this.press(event), { signal })
    canvas.addEventListener('pointermove', (event) => this.drag(event), { signal })
    for (const end of ['pointerup', 'pointercancel', 'lostpointercapture'] as const)
      canvas.addEventListener(end, (event) => this.fingers.delete(event.pointerId), { signal })
    canvas.addEventListener('wheel', (event) => this.wheel(event), { signal, passive: false })
    canvas.addEventListener('keydown', (event) => this.key(event), { signal })
    canvas.addEventListener('webglcontextlost', () => this.options.lost(), { signal })
  }

  private press(event: PointerEvent): void {
    this.canvas.setPointerCapture(event.pointerId)
    this.fingers.set(event.pointerId, { x: event.offsetX, y: event.offsetY })
  }

  private drag(event: PointerEvent): void {
    const before = this.fingers.get(event.pointerId)
    if (!before) return
    const now = { x: event.offsetX, y: event.offsetY }
    const other = [...this.fingers].find(([id]) => id !== event.pointerId)?.[1]
    if (other) this.nearer(apart(before, other) / Math.max(apart(now, other), 1))
    else this.turn(-(now.x - before.x) / 140, (now.y - before.y) / 140)
    this.fingers.set(event.pointerId, now)
  }

  /** The wheel comes nearer only while the view is focused or Control is held, so that the page can be scrolled past it. */
  private wheel(event: WheelEvent): void {
    if (!event.ctrlKey && document.activeElement !== this.canvas) return
    event.preventDefault()
    this.nearer(Math.exp(event.deltaY / 600))
  }

  private key(event: KeyboardEvent): void {
    if (event.ctrlKey || event.metaKey || event.altKey) return
    const next = keyed(this.orbit, event.key, event.shiftKey)
    if (!next) return
    event.preventDefault()
    this.look(next)
  }

  dispose(): void {
    this.stop.abort()
    cancelAnimationFrame(this.asked)
    this.clear()
    this.forget()
    this.renderer.dispose()
  }
}

function apart(a: { x: number; y: number }, b: { x: number; y: number }): number {
  return Math.hypot(a.x - b.x, a.y - b.y)
}

/** One tile of a pattern in one colour, laid in metres. */
function pattern(kind: Pattern, colour: string, hatch: string): CanvasTexture {
  const size = 64
  const tile = document.createElement('canvas')
  tile.width = tile.height = size
  const pen = tile.getContext('2d')
  if (pen) {
    pen.fillStyle = colour
    pen.fillRect(0, 0, size, size)
    paint(pen, kind, hatch, size)
  }
  const map = new CanvasTexture(tile)
  map.wrapS = map.wrapT = RepeatWrapping
  map.repeat.set(1 / TILE, 1 / TILE)
  map.colorSpace = SRGBColorSpace
  map.anisotropy = 4
  return map
}

const GAPS: Partial<Record<Pattern, number>> = { sparse: 64, stripes: 32, dense: 16, cross: 32 }

function paint(pen: CanvasRenderingContext2D, kind: Pattern, hatch: string, size: number): void {
  pen.fillStyle = pen.strokeStyle = hatch
  pen.lineWidth = 4
  if (kind === 'dots') {
    for (const [x, y] of [[16, 16], [48, 48]] as const) pen.fillRect(x - 3, y - 3, 6, 6)
    return
  }
  const gap = GAPS[kind]
  if (!gap) return
  pen.beginPath()
  for (let at = -size; at < 2 * size; at += gap) {
    pen.moveTo(at, size)
    pen.lineTo(at + size, 0)
    if (kind === 'cross') {
      pen.moveTo(at, 0)
      pen.lineTo(at + size, size)
    }
  }
  pen.stroke()
}
