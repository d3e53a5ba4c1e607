import { type Chart, given, isIsochipError } from '@isochip/core'
import {
  chartMap,
  createFrame,
  type Frame,
  findChart,
  homographyFromUnitSquare,
  mapQuad,
  patchAreas,
  type Quad,
  refineChart,
} from '@isochip/frames'
import { levelsOf } from '../../live/form/levelsOf.ts'
import { planesOf } from '../../live/form/planesOf.ts'
import type { Sight } from '../../live/sight.ts'
import type { Answers, Ask } from '../messages.ts'
import { chartOf } from './planOf.ts'

type FollowAsk = Extract<Ask, { kind: 'follow' }>

/** Pixels across of what a moving chart is followed in; the reading has all of them. */
const widest = 960
/** As the program samples: the inner 0.55 of a patch. */
const share = 0.55
/** Moved corners are believed where the edges of most patches are seen, lie where they should, and have not gone far. */
const sure = { seen: 0.5, misfit: 0.05, moved: 0.3 }
/** So often edges alone are believed; then the chart is found anew by its colours. */
const often = 10

let believed = 0

/** Where the chart is in a running picture: by its edges near where it was, else by a search of the whole frame. */
export async function followChart(ask: FollowAsk): Promise<Answers['follow']> {
  const begun = performance.now()
  const sight = await sightOf(ask)
  return given({ sight, took: performance.now() - begun })
}

async function sightOf(ask: FollowAsk): Promise<Sight | undefined> {
  const { frame, form, corners, chart: name, files } = ask
  const chart = await chartOf(name, files)
  const planes = await planesOf(frame).finally(() => frame.close())
  const step = Math.max(1, Math.ceil(planes.width / widest))
  const { width, height, levels } = levelsOf(planes, form, step)
  // A frame holds no colour beyond its range, and charts are found in codes.
  const thin = createFrame(
    width,
    height,
    Uint8Array.from(levels, (level) => 255 * Math.min(Math.max(level, 0), 1)),
  )
  const scale = planes.width / width
  const found = placed(thin, chart, corners && mapQuad(corners as Quad, ([x, y]) => [x / scale, y / scale]))
  if (found === undefined) return undefined
  const whole = mapQuad(found, ([x, y]) => [x * scale, y * scale])
  const map = homographyFromUnitSquare(whole)
  if (map === undefined) return undefined
  const areas = patchAreas(chart, chartMap(map), share).map(({ patch, quad }) => ({
    patch,
    quad,
    foreign: false,
  }))
  return { width: planes.width, height: planes.height, corners: whole, areas }
}

function placed(frame: Frame, chart: Chart, last: Quad | undefined): Quad | undefined {
  if (last !== undefined && believed++ % often !== often - 1) {
    const near = nearby(frame, chart, last)
    if (near !== undefined) return near
  }
  try {
    return findChart(frame, [chart]).corners
  } catch (cause) {
    if (isIsochipError(cause) && cause.code === 'chart-not-found') return undefined
    throw cause
  }
}

function nearby(frame: Frame, chart: Chart, last: Quad): Quad | undefined {
  try {
    const { corners, seen, misfit = 1, moved } = refineChart(frame, chart, last)
    const good = seen >= sure.seen * chart.patches.length && misfit <= sure.misfit && moved <= sure.moved
    return good ? corners : undefined
  } catch {
    // It has moved out of the frame: no longer corners of this frame.
    return undefined
  }
}
