/**
 * Charts of rendered scenes with things over some of their patches, and clean: how many of the covered patches are named,
 * and of the clean ones. From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/coveredPatches.ts [first scene] [scenes]`
 */
import { builtinCharts, IsochipError, isGrid, resolveEncoding, seededRandom, type Vec3 } from '@isochip/core'
import {
  createFrame,
  type Frame,
  findChart,
  foreignPatches,
  type PatchFit,
  type Quad,
  sampleChart,
} from '@isochip/frames'
import { type Scene, type SceneChart, scene } from '@isochip/synthetic'

const [first = 5001, count = 100] = process.argv.slice(2).map(Number)
/** The limits were set with the first six; cards and tapes had no part in it. */
const kinds = ['hand', 'leaf', 'label', 'shape', 'cloth', 'cable', 'card', 'tape'] as const
type Kind = (typeof kinds)[number]

/** Reflectances in BT.709 primaries: skins from dark to light, leaves, papers, and anything. */
function colourOf(kind: Kind, random: () => number): Vec3 {
  const mix = (a: Vec3, b: Vec3): Vec3 => {
    const t = random()
    return [0, 1, 2].map((c) => a[c]! + t * (b[c]! - a[c]!)) as unknown as Vec3
  }
  if (kind === 'hand') return mix([0.07, 0.035, 0.02], [0.62, 0.42, 0.32])
  if (kind === 'leaf') return mix([0.02, 0.06, 0.015], [0.18, 0.28, 0.06])
  if (kind === 'label') return random() < 0.6 ? [0.85, 0.85, 0.83] : [0.03, 0.03, 0.03]
  if (kind === 'cable') return random() < 0.7 ? [0.02, 0.02, 0.02] : [0.6, 0.6, 0.6]
  if (kind === 'cloth') return mix([0.5, 0.45, 0.4], [0.3 * random(), 0.3 * random(), 0.3 * random()])
  if (kind === 'tape') return mix([0.05, 0.05, 0.05], [0.5, 0.48, 0.4])
  return [random() ** 2, random() ** 2, random() ** 2]
}

/** What lies over a point of the frame: shares of the cover's light. */
function textureOf(kind: Kind, u: number, v: number, soft: number): number {
  if (kind === 'hand') return 1 - 0.35 * (u * u + v * v) - 0.06 * Math.sin(9 * u)
  if (kind === 'leaf')
    return Math.abs(u) < 0.03 || Math.abs((v - Math.abs(u)) % 0.25) < 0.02
      ? 1.5
      : 1 + 0.1 * Math.sin(23 * u * v)
  if (kind === 'label' && soft > 0.4) return Math.abs(v % 0.3) < 0.08 && (u * 7) % 1 < 0.7 ? 0.15 : 1
  if (kind === 'cloth')
    return (1 + 0.12 * Math.sin(40 * u) * Math.sin(40 * v)) * (1 + 0.25 * soft * Math.sin(4 * u + 2 * v))
  if (kind === 'cable') return 1 - 0.6 * v * v
  // Printed stripes; and a gloss along the middle.
  if (kind === 'card') return 0.35 + 0.8 * (Math.floor(6 * (u + 1)) % 2)
  if (kind === 'tape') return 1 + 0.5 * soft * Math.exp(-((v / 0.3) ** 2))
  return 1
}

/** Codes of reflectances as this scene shows them: by its own patches, whose codes are known. */
function codesOf(truth: SceneChart): (rgb: Vec3) => Vec3 {
  const usable = truth.patches.flatMap((patch, k) =>
    patch.clipped ? [] : [{ light: patch.light, code: patch.code, k }],
  )
  const white = usable.reduce((a, b) => (b.light[1] > a.light[1] ? b : a))
  return (rgb) =>
    [0, 1, 2].map((c) => {
      // Light of a patch that is as bright, by the channel's own curve through the patches.
      const target = rgb[c]! * (white.light[c]! / 0.9)
      const sorted = usable.map((one) => [one.light[c]!, one.code[c]!] as const).sort((a, b) => a[0] - b[0])
      const above = sorted.findIndex(([light]) => light >= target)
      if (above === 0) return sorted[0]![1]
      const [high, low] = above < 0 ? [sorted.at(-1), sorted.at(-2)] : [sorted[above]!, sorted[above - 1]!]
      const t = (target - low[0]) / Math.max(high[0] - low[0], 1e-9)
      return Math.max(0, Math.min(1, low[1] + Math.min(t, 1.2) * (high[1] - low[1])))
    }) as unknown as Vec3
}

/** Paints over a scene's frame; answers the share of each patch of the chart that is covered. */
function cover(shown: Scene, truth: SceneChart, kind: Kind, random: () => number) {
  const { frame } = shown
  const { width, height } = frame
  const { chart, patches } = truth
  if (!isGrid(chart)) throw new RangeError(`chart ${chart.id} is no grid`)
  const data = frame.data.slice()
  const scale = frame.codeScale
  const k = Math.floor(random() * patches.length)
  const [cx, cy] = patches[k]!.centre
  const beside = patches[k % chart.columns === 0 ? k + 1 : k - 1]!.centre
  const pitch = Math.hypot(beside[0] - cx, beside[1] - cy)
  const long = kind === 'cable' || kind === 'tape'
  const half = long
    ? ([pitch * (2 + 4 * random()), pitch * (0.3 + 0.25 * random())] as const)
    : ([pitch * (0.5 + 1.3 * random()), pitch * (0.45 + 0.7 * random())] as const)
  const angle = random() * Math.PI
  const middle = [cx + pitch * (random() - 0.5), cy + pitch * (random() - 0.5)] as const
  const round = kind !== 'label' && kind !== 'card' && !long && random() < 0.7
  const soft = random()
  const rgb = colourOf(kind, random)
  const codes = codesOf(truth)
  const { range } = resolveEncoding(shown.conditions.camera.encoding)
  const [foot, span] = range === 'narrow' ? [16 / 255, 219 / 255] : [0, 1]
  const levels = Array.from({ length: 32 }, (_, i) =>
    codes(rgb.map((one) => (one * i) / 20) as unknown as Vec3),
  )
  const place = (x: number, y: number) => {
    const dx = x - middle[0]
    const dy = y - middle[1]
    const u = (dx * Math.cos(angle) + dy * Math.sin(angle)) / half[0]
    const v = (dy * Math.cos(angle) - dx * Math.sin(angle)) / half[1]
    return { u, v, in: round ? u * u + v * v < 1 : Math.abs(u) < 1 && Math.abs(v) < 1 }
  }
  const most = Math.max(...half) * 1.5
  for (let y = Math.max(0, Math.floor(middle[1] - most)); y < Math.min(height, middle[1] + most); y++) {
    for (let x = Math.max(0, Math.floor(middle[0] - most)); x < Math.min(width, middle[0] + most); x++) {
      const at = place(x + 0.5, y + 0.5)
      if (!at.in) continue
      const level = levels[Math.max(0, Math.min(31, Math.round(20 * textureOf(kind, at.u, at.v, soft))))]!
      for (let c = 0; c < 3; c++) {
        const noise = 0.006 * (random() + random() + random() - 1.5)
        const code = foot + span * level[c]! + noise
        data[3 * (y * width + x) + c] = Math.max(0, Math.min(1, code)) * scale
      }
    }
  }
  const covered = patches.map((patch, i) => {
    const own = patch.centre
    const right = patches[i % chart.columns === 0 ? i + 1 : i - 1]!.centre
    const below = patches[i < chart.columns ? i + chart.columns : i - chart.columns]!.centre
    const a = [0.8 * (right[0] - own[0]), 0.8 * (right[1] - own[1])] as const
    const b = [0.8 * (below[0] - own[0]), 0.8 * (below[1] - own[1])] as const
    let inside = 0
    for (let j = 0; j < 11; j++)
      for (let h = 0; h < 11; h++) {
        const [s, t] = [h / 10 - 0.5, j / 10 - 0.5]
        if (place(own[0] + s * a[0] + t * b[0], own[1] + s * a[1] + t * b[1]).in) inside++
      }
    return inside / 121
  })
  return { frame: createFrame(width, height, data), covered }
}

interface Tally {
  covered: number
  named: number
  clean: number
  wrong: number
  beside: number
  besideNamed: number
  readonly byKind: Map<string, [number, number]>
}
const none = (): Tally => ({
  covered: 0,
  named: 0,
  clean: 0,
  wrong: 0,
  beside: 0,
  besideNamed: 0,
  byKind: new Map(),
})
/** As a match has it, and as `read` without the camera's encoding. */
const tallies = { known: none(), unknown: none() }
let lost = 0
let frames = 0
function tell(
  tally: Tally,
  judged: readonly PatchFit[],
  truth: SceneChart,
  share: readonly number[] | undefined,
  kind: Kind,
  name: string,
): void {
  for (const [k, patch] of judged.entries()) {
    const { clipped, glare } = truth.patches[k]!
    const words = `${name} ${share === undefined ? 'clean' : kind} ${patch.patch} colour ${patch.colour.toFixed(1)} off ${patch.off.toFixed(3)} scatter ${patch.scatter.toFixed(1)} rough ${patch.rough.toFixed(3)} slope ${patch.slope.toFixed(3)}`
    const over = share?.[k] ?? 0
    if (over >= 0.5) {
      tally.covered++
      const of = tally.byKind.get(kind) ?? [0, 0]
      tally.byKind.set(kind, [of[0] + Number(patch.foreign), of[1] + 1])
      if (patch.foreign) tally.named++
      else
        console.log(
          `missed ${words} over ${over.toFixed(2)}${clipped ? ' clipped' : ''}${glare ? ' glare' : ''}`,
        )
    } else if (over === 0 && !glare && !clipped) {
      tally[share === undefined ? 'clean' : 'beside']++
      if (!patch.foreign) continue
      tally[share === undefined ? 'wrong' : 'besideNamed']++
      console.log(`wrongly ${words}`)
    }
  }
}

for (let number = first; number < first + count; number++) {
  const shown = scene(number)
  const random = seededRandom(number)
  const kind = kinds[number % kinds.length]!
  const truth = shown.charts[0]!
  const usable = !truth.mirrored
  const range = resolveEncoding(shown.conditions.camera.encoding).range
  const judge = (frame: Frame, share: readonly number[] | undefined) => {
    let found: ReturnType<typeof findChart>
    try {
      found = findChart(frame, builtinCharts)
    } catch (error) {
      if (!(error instanceof IsochipError)) throw error
      lost++
      return
    }
    // Of two charts alike the other one may have been found, of which this truth is not.
    const [x, y] = found.map(0.5, 0.5)
    const [a, b, c, d] = truth.corners
    const away = Math.hypot(x - (a[0] + b[0] + c[0] + d[0]) / 4, y - (a[1] + b[1] + c[1] + d[1]) / 4)
    if (found.chart.id !== truth.chart.id || away > Math.hypot(a[0] - b[0], a[1] - b[1]) / 3) return
    frames++
    const { spec } = resolveEncoding(shown.conditions.camera.encoding)
    for (const mode of ['known', 'unknown'] as const) {
      const curve = mode === 'known' ? { transfer: spec.transfer } : {}
      const { areas } = sampleChart({
        frames: [frame],
        chart: found.chart,
        corners: found.corners as Quad,
        map: found.map,
        range,
        ...curve,
      })
      const judged = foreignPatches(areas, found.chart, { frame, range, ...curve })
      tell(tallies[mode], judged, truth, share, kind, `${mode} ${number}`)
    }
  }
  if (!usable) continue
  judge(shown.frame, undefined)
  const { frame, covered } = cover(shown, truth, kind, random)
  judge(frame, covered)
}
const share = (a: number, b: number) => `${a} of ${b} (${((100 * a) / Math.max(1, b)).toFixed(2)} %)`
console.log(`scenes ${first}…${first + count - 1}: ${frames} frames read, ${lost} not found`)
for (const [mode, tally] of Object.entries(tallies))
  console.log(`curve ${mode}: covered by half or more and named ${share(tally.named, tally.covered)}; ${[...tally.byKind].map(([kind, [a, b]]) => `${kind} ${a}/${b}`).join(', ')}
  clean patches named: ${share(tally.wrong, tally.clean)} on clean charts, ${share(tally.besideNamed, tally.beside)} beside covered ones`)
