import type { Vec3 } from '@isochip/core'
import { solveNormal } from '../../geometry/solveNormal.ts'
import { constants } from '../constants.ts'
import type { SeenColours } from './cellColour.ts'
import {
  channels,
  isDifference,
  mixed,
  type Output,
  outputs,
  type ReferenceTones,
  spread,
} from './referenceTones.ts'

/** What clipping leaves of an output of a cell. */
const known = 0
const atLeast = 1
const atMost = -1
const nothing = 2

function boundOf(clipped: number, mix: Vec3): number {
  let up = false
  let down = false
  for (const c of channels) {
    if ((clipped & (1 << c)) === 0) continue
    if (mix[c] > 0) up = true
    if (mix[c] < 0) down = true
  }
  return up ? (down ? nothing : atLeast) : down ? atMost : known
}

/**
 * Share of one output's variation that the reference explains; adds every cell's part of the rest, of those left out
 * as well, to `residual`.
 *
 * @returns `undefined` when too few cells are left to tell
 */
export function solveOutput(
  { rgb, clipped }: SeenColours,
  { tones, patches: n, designs }: ReferenceTones,
  kept: Uint8Array,
  output: Output,
  residual: Float64Array,
  veil: Float64Array | undefined,
): number | undefined {
  const { leastFree, fullMatrix, ridge: full, heldBack, veilRidge, flat } = constants.colour
  const mix = outputs[output]!
  const width = veil === undefined ? 4 : 6
  const { bound, keep, value, predicted, active } = roomFor(n)
  let used = 0
  let free = 0
  for (let k = 0; k < n; k++) {
    value[k] = mixed(mix, rgb[3 * k]!, rgb[3 * k + 1]!, rgb[3 * k + 2]!)
    bound[k] = clipped[k] === 0 ? known : boundOf(clipped[k]!, mix)
    keep[k] = 0
    active[k] = 0
    if (kept[k] === 0 || bound[k] === nothing) continue
    keep[k] = 1
    used++
    if (bound[k] === known) free++
  }
  if (free < Math.max(4, leastFree * n)) return undefined
  const design = designs[output]!
  const rows = veil === undefined ? design : withVeil(design, veil)
  const ridge = free >= fullMatrix ? full * used : heldBack * free * spread(tones, keep, mix)
  const parameters = (free >= fullMatrix ? 4 : 3) + (veil === undefined ? 0 : 2)
  // Clipped cells take part only while the fit puts them on the wrong side of the level at which they clip.
  for (let k = 0; k < n; k++) if (keep[k] === 1 && bound[k] === known) active[k] = 1
  const right = new Float64Array(width)
  const normal = new Float64Array(width * width)
  for (let round = 0; round < (free === used ? 1 : 4); round++) {
    normal.fill(0)
    right.fill(0)
    for (let k = 0; k < n; k++)
      if (active[k] === 1) addEquation(rows, k * width, width, value[k]!, normal, right)
    normal[width + 1]! += full * used
    for (const i of [2, 3]) normal[width * i + i]! += ridge
    for (let i = 4; i < width; i++) normal[width * i + i]! += veilRidge
    if (!solveNormal(normal, right)) return undefined
    let changed = false
    for (let k = 0; k < n; k++) {
      predicted[k] = product(rows, k * width, right)
      if (keep[k] === 0 || bound[k] === known) continue
      const now = predicted[k]! * bound[k]! < value[k]! * bound[k]! ? 1 : 0
      if (now !== active[k]) changed = true
      active[k] = now
    }
    if (!changed) break
  }
  // That many cells clip in one channel makes a colour difference no likelier: it is judged by those that do not.
  const counts = isDifference(mix) ? active : keep
  let counted = 0
  let rest = 0
  for (let k = 0; k < n; k++) {
    counted += counts[k]!
    if (active[k] === 1) rest += (value[k]! - predicted[k]!) ** 2
  }
  const total = variationBeside(value, counts, veil)
  // All cells alike where the chart has colours: nothing is explained.
  if (!(total > flat * counted)) return 0
  for (let k = 0; k < n; k++) {
    if (keep[k] === 1 ? active[k] === 1 : bound[k] === known)
      residual[k]! += (value[k]! - predicted[k]!) ** 2 / total
  }
  // An output that falls where its counterpart in the reference grows belongs to a negative, not to the chart.
  if (!(right[1]! > 0)) return 0
  return Math.max(
    0,
    1 - ((rest / total) * (counted - (veil === undefined ? 1 : 2))) / Math.max(1, free - parameters),
  )
}

/** A function of its own, as the next: the engine makes fast code of them early. */
function addEquation(
  rows: Float64Array,
  at: number,
  width: number,
  value: number,
  normal: Float64Array,
  right: Float64Array,
): void {
  for (let i = 0; i < width; i++) {
    const x = rows[at + i]!
    right[i]! += x * value
    for (let j = 0; j <= i; j++) normal[width * i + j]! += x * rows[at + j]!
  }
}

function product(rows: Float64Array, at: number, solution: Float64Array): number {
  let sum = 0
  for (let i = 0; i < solution.length; i++) sum += rows[at + i]! * solution[i]!
  return sum
}

interface Room {
  readonly bound: Int8Array
  readonly keep: Uint8Array
  readonly value: Float64Array
  readonly predicted: Float64Array
  readonly active: Uint8Array
}

const rooms = new Map<number, Room>()

/** Arrays for n cells, used over and over: hundreds of thousands of fits are made in a frame. */
function roomFor(n: number): Room {
  const there = rooms.get(n)
  if (there !== undefined) return there
  const room: Room = {
    bound: new Int8Array(n),
    keep: new Uint8Array(n),
    value: new Float64Array(n),
    predicted: new Float64Array(n),
    active: new Uint8Array(n),
  }
  rooms.set(n, room)
  return room
}

/** A design with two columns more: the veil, and how it dims what is under it. */
function withVeil(design: Float64Array, veil: Float64Array): Float64Array {
  const rows = new Float64Array(6 * veil.length)
  for (let k = 0; k < veil.length; k++) {
    for (let i = 0; i < 4; i++) rows[6 * k + i] = design[4 * k + i]!
    rows[6 * k + 4] = veil[k]!
    rows[6 * k + 5] = veil[k]! * design[4 * k + 1]!
  }
  return rows
}

/** Sum of squares about the mean, or about what a veil alone makes of it: that is no merit of the chart's. */
function variationBeside(value: Float64Array, counts: Uint8Array, veil: Float64Array | undefined): number {
  let n = 0
  let mean = 0
  let middle = 0
  for (let k = 0; k < value.length; k++) {
    if (counts[k] === 0) continue
    n++
    mean += value[k]!
    middle += veil?.[k] ?? 0
  }
  mean /= n
  middle /= n
  let square = 0
  let both = 0
  let spread = 0
  for (let k = 0; k < value.length; k++) {
    if (counts[k] === 0) continue
    const d = value[k]! - mean
    const v = (veil?.[k] ?? middle) - middle
    square += d * d
    both += d * v
    spread += v * v
  }
  return square - (spread > 0 ? both ** 2 / spread : 0)
}
