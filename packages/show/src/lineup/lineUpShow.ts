import { setTimeout as pause } from 'node:timers/promises'
import {
  type Controls,
  type Encoding,
  given,
  IsochipError,
  isIsochipError,
  lineUp,
  type Readings,
  type Target,
  targetFromCamera,
  type Vec3,
  type Warning,
} from '@isochip/core'
import type { DecodedFrame } from '@isochip/frames'
import { type LoadedShow, loadShow } from '../load/loadShow.ts'
import { knownEncoding, referenceTarget, withPlace } from '../load/planShow.ts'
import { shotPlace } from '../load/shotPlace.ts'
import { ChartTrack } from '../read/chartTrack.ts'
import { likeness } from '../read/likeness.ts'
import { readShot, type ShotReadings } from '../read/readShot.ts'
import type { FramesShot, ReadingsShot } from '../showFile/show.ts'
import { frameStamps } from './frameStamps.ts'
import { type KeptRound, type LineUpFile, readLineUpFile, writeLineUpFile } from './lineUpFile.ts'
import { warmUp } from './warmUp.ts'

/**
 * One camera's round: where it stands by its newest shot, what to turn, and how it came there. `standing` is one that was kept
 * from before, of frames that have not changed since.
 */
export interface LineUpRoundOfCamera {
  readonly type: 'round' | 'standing'
  readonly camera: string
  readonly setup: string
  /** Counted from 1. */
  readonly round: number
  /** Mean ΔE00 of every shot so far, the newest last. */
  readonly trend: readonly number[]
  readonly within: boolean
  readonly kept: KeptRound
  /** Was the camera touched otherwise than was asked since the shot before? */
  readonly touched: boolean
  /** Then: could not even that explain the shot, so that what was learnt of the camera was let go? */
  readonly forgotten: boolean
  readonly encoding: Encoding['spec']
  /** How its controls move, where the show says it. */
  readonly controls?: Controls
  readonly warnings: readonly Warning[]
}

/** A camera that could not be read or judged; its last good round stands. */
interface LineUpTrouble {
  readonly type: 'trouble'
  readonly camera: string
  readonly error: IsochipError
}

/** The target camera was shot: the others are now lined up to this. */
interface LineUpTarget {
  readonly type: 'target'
  readonly camera: string
}

export type LineUpEvent = LineUpRoundOfCamera | LineUpTrouble | LineUpTarget

export interface LineUpShowOptions {
  /** Which setup; default the first of the show. */
  readonly setup?: string
  /** Look once at what is there, and end. */
  readonly once?: boolean
  /**
   * While there is nothing to be read, go through what a round does on an invented camera, so that nobody waits longer for the first
   * than for others; default true. It takes some three seconds of processor time, which is nothing to one who will not wait.
   */
  readonly warmsUp?: boolean
  /** Called with the first frame of a shot when it was read, before the event that it gives. */
  readonly onFrame?: (camera: string, frame: DecodedFrame, encoding: Encoding) => void
  readonly signal?: AbortSignal
}

/** Between two looks at the frames, in milliseconds. */
const lookEvery = 100
/** Nobody is still writing what was last written to so long ago, in milliseconds, when the watch begins. */
const longAgo = 2000

interface Watched {
  readonly camera: string
  readonly shot: FramesShot | ReadingsShot
  readonly place: ReturnType<typeof shotPlace>
  seen?: string
  last?: string | undefined
  readonly track: ChartTrack
}

/**
 * Lines the cameras of a show up: whenever the frames of one change, reads them and says what to turn at it. Rounds are
 * kept in `lineup.json` beside the show; what it holds of the same bytes is not a new round.
 *
 * @param show path of a show file
 * @throws IsochipError for whatever is wrong with the show; what is wrong with a frame is an event
 */
export async function* lineUpShow(
  show: string,
  options: LineUpShowOptions = {},
): AsyncGenerator<LineUpEvent> {
  const { once = false, warmsUp = true, onFrame, signal } = options
  const loaded = await loadShow(show)
  const { plan, folder } = loaded
  const setup = options.setup ?? plan.show.cameras[0]!.shots[0]!.setup
  const watched = watchedShots(loaded, setup)
  const found = await readLineUpFile(folder)
  let kept: LineUpFile = found?.setup === setup ? found : { isochip: 'lineup/1', setup, cameras: [] }
  const { target } = plan.show
  const targetCamera = 'camera' in target ? target.camera : undefined
  let aim: Target | undefined = 'reference' in target ? referenceTarget(plan, target.reference) : undefined
  const published = plan.chart.reference === undefined ? undefined : referenceTarget(plan, 'D65')
  // The target camera first: without it nothing can be said of the others.
  watched.sort((a, b) => Number(b.camera === targetCamera) - Number(a.camera === targetCamera))
  let warming: Iterator<void> | undefined
  for (let first = true; ; first = false) {
    // Is there nothing to be read, nor about to be?
    let idle = true
    for (const one of watched) {
      if (signal?.aborted) return
      const found = await frameStamps(one.shot, folder, one.place)
      const stamp = found?.stamp
      const lay = first && found !== undefined && Date.now() - found.written > longAgo
      const steady = once || lay || stamp === one.last
      one.last = stamp
      if (stamp !== one.seen && !steady) idle = false
      if (stamp === undefined && one.seen !== undefined && steady) {
        delete one.seen
        yield {
          type: 'trouble',
          camera: one.camera,
          error: noFrame(one, setup, 'the frame of this camera is gone'),
        }
      }
      if (stamp === undefined || stamp === one.seen || !steady) continue
      if (one.camera !== targetCamera && aim === undefined) continue
      one.seen = stamp
      idle = false
      try {
        const encoding = knownEncoding(plan.encodings, one.camera)
        const read = await readShot(one.shot, {
          chart: plan.chart,
          encoding,
          camera: one.camera,
          folder,
          place: one.place,
          keepFrame: false,
          track: one.track,
          ...(onFrame === undefined ? {} : { onFrame: (frame) => onFrame(one.camera, frame, encoding) }),
          ...given({ signal }),
        })
        const known = one.camera === targetCamera ? published?.light : aim!.light
        if (known !== undefined) assertChart(one, setup, read, known)
        if (one.camera === targetCamera) {
          aim = targetFromCamera(plan.chart, read.readings, encoding, plan.working)
          yield { type: 'target', camera: one.camera }
          continue
        }
        const next = nextRound(loaded, kept, one.camera, read, encoding, aim!)
        if (next.kept !== kept) {
          kept = next.kept
          await writeLineUpFile(folder, kept)
        }
        yield next.event
      } catch (cause) {
        const error = withPlace(cause, { camera: one.camera, setup })
        if (!isIsochipError(error)) throw error
        if (error.code === 'cancelled') return
        yield { type: 'trouble', camera: one.camera, error }
      }
    }
    if (once) {
      const silent = watched.find(({ seen }) => seen === undefined)
      if (silent !== undefined)
        yield {
          type: 'trouble',
          camera: silent.camera,
          error: noFrame(silent, setup, 'there is no frame of this camera yet'),
        }
      return
    }
    const known = aim ?? published
    if (warmsUp && idle && known !== undefined) {
      warming ??= warmUp(plan, watched.at(-1)!.camera, known)
      warming.next()
    }
    await pause(lookEvery, undefined, signal === undefined ? {} : { signal }).catch(() => undefined)
  }
}

const noFrame = ({ place, camera }: Watched, setup: string, text: string) =>
  new IsochipError('frame-unreadable', text, {
    hint: 'its last good round stands; shoot the chart again',
    place: { ...place, camera, setup },
  })

/** A picture in which the chart stands is at least so like it; others are alike by chance to less than half of this. */
const chartLike = 0.6

/**
 * What was found in a frame is a chart; at corners that were given there may be none.
 *
 * @param light of the patches, by the target or as published
 */
function assertChart(
  { shot, camera, place }: Watched,
  setup: string,
  { readings }: ShotReadings,
  light: ReadonlyMap<string, Vec3>,
): void {
  if (shot.kind !== 'frames' || shot.corners === undefined) return
  // Roots of light are near to what a video or a log curve makes of it.
  const root = (value: number) => Math.sqrt(Math.max(value, 0))
  const codes = new Map([...light].map(([patch, [r, g, b]]) => [patch, [root(r), root(g), root(b)] as const]))
  if (likeness(readings, codes) >= chartLike) return
  throw new IsochipError('chart-not-found', 'no chart shows at the corners that the show file gives', {
    hint: 'put the chart back where it stood, or give its corners anew; the last good round stands',
    place: { ...place, camera, setup },
  })
}

function watchedShots(loaded: LoadedShow, setup: string): Watched[] {
  const { show } = loaded.plan
  const watched = show.cameras.flatMap(({ id, shots }, cameraIndex): Watched[] =>
    shots.flatMap((shot, shotIndex) =>
      shot.setup !== setup || shot.kind === 'borrowed'
        ? []
        : [{ camera: id, shot, place: shotPlace(loaded, cameraIndex, shotIndex), track: new ChartTrack() }],
    ),
  )
  if (watched.length === 0) {
    const names = [...new Set(show.cameras.flatMap(({ shots }) => shots.map((shot) => shot.setup)))]
    throw new IsochipError('show-invalid', `no camera has frames in setup "${setup}"`, {
      hint: `the setups are ${names.join(', ')}`,
      ...(loaded.file === undefined ? {} : { place: { file: loaded.file } }),
    })
  }
  if ('consensus' in show.target)
    throw new IsochipError(
      'target-invalid',
      'cameras cannot be lined up to their own mean, which moves with them',
      {
        hint: 'take one camera as the target, or published values',
        ...(loaded.file === undefined ? {} : { place: { file: loaded.file } }),
      },
    )
  return watched
}

/**
 * So many rounds are kept with their readings, and learnt from. What a camera's controls do is known after three or four
 * (docs/method.md); sixteen would take half a second of each round, and a day of shots longer and longer, and more and more room.
 */
const mostRounds = 8

/** The same `kept` where its newest round is of the same files. */
function nextRound(
  { plan }: LoadedShow,
  kept: LineUpFile,
  camera: string,
  read: ShotReadings,
  encoding: Encoding,
  target: Target,
): { kept: LineUpFile; event: LineUpRoundOfCamera } {
  const known = kept.cameras.find((one) => one.camera === camera)
  const before = known?.rounds ?? []
  const past = known?.past ?? []
  const files = read.inputs.map(({ path, sha256 }) => ({ path, sha256 }))
  const sums = (of: typeof files) => of.map(({ sha256 }) => sha256).join()
  const last = before.at(-1)
  const { chart, working, show } = plan
  const controls = show.cameras.find(({ id }) => id === camera)?.controls
  const event = (
    type: LineUpRoundOfCamera['type'],
    rounds: readonly KeptRound[],
    touched = false,
    forgotten = false,
  ) => ({
    type,
    camera,
    setup: read.setup,
    round: past.length + rounds.length,
    trend: [...past, ...rounds.map(({ now }) => now)],
    within: rounds.at(-1)!.now <= show.tolerance.mean,
    kept: rounds.at(-1)!,
    touched,
    forgotten,
    encoding: encoding.spec,
    ...given({ controls }),
    warnings: read.warnings,
  })
  if (last !== undefined && sums(last.files) === sums(files))
    return { kept, event: event('standing', before) }
  const found = lineUp(
    { chart, readings: read.readings, encoding, target, working },
    before.map(({ readings, asked, done, touched }) => ({
      readings: readings as Readings,
      asked,
      ...given({ done, touched }),
    })),
    { ...show.fit, ...given({ controls }) },
  )
  const told = before.map((round, i) => ({
    ...round,
    done: found.done[i] ?? round.done,
    touched: found.touched[i] ?? round.touched,
  }))
  const round: KeptRound = {
    files,
    readings: structuredClone(read.readings) as KeptRound['readings'],
    now: found.now,
    withLut: found.withLut,
    expected: found.advice.expected,
    stages: [...found.advice.stages],
    asked: { ...found.turn, pedestal: [...found.turn.pedestal] },
    ...(found.encodingDoubt === undefined
      ? {}
      : { encodingDoubt: structuredClone(found.encodingDoubt) as NonNullable<KeptRound['encodingDoubt']> }),
    ...given({ grey: found.grey }),
  }
  const rounds = [...told, round]
  const gone = rounds.slice(0, -mostRounds).map(({ now }) => now)
  const newest = {
    camera,
    ...(past.length + gone.length > 0 ? { past: [...past, ...gone] } : {}),
    rounds: rounds.slice(-mostRounds),
  }
  return {
    kept: { ...kept, cameras: [...kept.cameras.filter((one) => one.camera !== camera), newest] },
    event: event('round', rounds, found.touched.at(-1), before.length > 0 && found.since === before.length),
  }
}
