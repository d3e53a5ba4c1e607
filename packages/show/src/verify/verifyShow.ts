import { readFile, stat } from 'node:fs/promises'
import { join } from 'node:path'
import {
  deltaE00,
  type Encoding,
  IsochipError,
  labOfLinear,
  resolveEncoding,
  type Summary,
  summarise,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import type { MatchFile } from '../match/matchFile.ts'
import { setupNames } from '../match/matchReadings.ts'
import { parseMatchFile } from '../match/parseMatchFile.ts'
import { isMeasured } from '../plan/measuredEncoding.ts'
import { withPlace } from '../plan/planShow.ts'
import { joinedFailures } from '../run/joinedFailures.ts'
import { type LoadedShow, loadShow } from '../run/loadShow.ts'
import { lutFunction, readLutFile } from '../run/readLutFile.ts'
import { readSetup } from '../run/readSetup.ts'
import type { ShotReadings } from '../run/readShot.ts'
import type { Show, Tolerance } from '../showFile/show.ts'
import { type Drift, drift } from './drift.ts'
import { throughLut } from './throughLut.ts'

/** Does one camera's LUT still hold? */
export interface VerifiedCamera {
  readonly camera: string
  readonly isTarget: boolean
  /** The LUT, relative to the folder of the LUTs. */
  readonly lut: string
  /** ΔE00 (scene light) between the camera through its LUT and the target, now. Not for the target itself. */
  readonly now?: Summary
  /** The same when the LUT was made, where its match file is there. */
  readonly made?: Summary
  /** What has changed at the camera since, where its match file is there. */
  readonly drift?: Drift
  readonly within: boolean
  readonly patches: readonly { readonly patch: string; readonly dE00: number }[]
}

export interface Verification {
  readonly title: string
  readonly tolerance: Tolerance
  readonly within: boolean
  readonly setups: readonly { readonly setup: string; readonly cameras: readonly VerifiedCamera[] }[]
  /** Cameras that could not be looked at, and why. */
  readonly failures: readonly IsochipError[]
}

export interface VerifyShowOptions {
  /** Folder of the LUTs: `SETUP/CAMERA.cube` or `.clf`, and `SETUP/CAMERA.match.json` where isochip made them. */
  readonly luts: string
  /** For a show at hand: folder from which its paths start. */
  readonly folder?: string
  readonly signal?: AbortSignal
}

/** A LUT with what is known of its making. */
interface Held {
  readonly name: string
  readonly apply: (code: Vec3) => Vec3
  readonly output: Encoding
  readonly match?: MatchFile
}

/**
 * Puts new charts through LUTs that were made earlier, by whomever, and says how far the cameras now are from the
 * target, and what has changed at each.
 *
 * With a camera as the target, its chart of now is the target: what counts is whether the cameras still look alike.
 *
 * @throws IsochipError for whatever is wrong with the show; where no camera could be looked at, the first reason
 */
export async function verifyShow(show: string | Show, options: VerifyShowOptions): Promise<Verification> {
  const loaded = await loadShow(show, options.folder)
  if (!(await stat(options.luts).catch(() => undefined))?.isDirectory())
    throw new IsochipError('lut-syntax', 'there is no such folder of LUTs', {
      hint: 'give the folder that holds SETUP/CAMERA.cube, such as isochip-out',
      place: { file: options.luts },
    })
  const failures: IsochipError[] = []
  const setups: { setup: string; cameras: readonly VerifiedCamera[] }[] = []
  for (const setup of setupNames(loaded.plan.show)) {
    const readings = await readSetup(loaded, setup, options, (result) => {
      if (result instanceof IsochipError) failures.push(result)
    })
    const cameras = await verifySetup(loaded, setup, readings, options.luts, failures)
    if (cameras.length > 0) setups.push({ setup, cameras })
  }
  const judged = setups.flatMap(({ cameras }) => cameras).filter(({ isTarget }) => !isTarget)
  if (failures.length > 0 && judged.length === 0) throw joinedFailures(failures)
  const { title, tolerance } = loaded.plan.show
  return { title, tolerance, within: judged.every(({ within }) => within), setups, failures }
}

async function verifySetup(
  { plan }: LoadedShow,
  setup: string,
  shots: readonly ShotReadings[],
  folder: string,
  failures: IsochipError[],
): Promise<VerifiedCamera[]> {
  const { show, chart, working, encodings } = plan
  const { target } = show
  const lab = labOfLinear(working)
  const clippedShare = show.fit.clippedShare ?? 0.01
  const seen = new Map<string, { shot: ShotReadings; held: Held; light: ReadonlyMap<string, Vec3> }>()
  for (const shot of shots) {
    try {
      const held = await findLut(folder, setup, shot.camera, plan.output)
      const source = encodings.get(shot.camera)!
      const through = throughLut(held.apply, source, held.output, working, shot.bits)
      const usable = shot.readings.patches.filter(({ clipped = 0 }) => clipped <= clippedShare)
      seen.set(shot.camera, {
        shot,
        held,
        light: new Map(usable.map(({ patch, rgb }) => [patch, through(rgb)])),
      })
    } catch (cause) {
      const error = withPlace(cause, { camera: shot.camera, setup })
      if (!(error instanceof IsochipError)) throw error
      failures.push(error)
    }
  }
  const common =
    'reference' in target ? targetFromReference(chart, target.reference, working).light : undefined
  return [...seen].flatMap(([camera, { shot, held, light }]): VerifiedCamera[] => {
    const isTarget = 'camera' in target && target.camera === camera
    const then = new Map(held.match?.patches.map(({ patch, source }) => [patch, source]) ?? [])
    const own = encodings.get(camera)!
    // A curve that was measured is compared by the measurement of then.
    const encoding = isMeasured(own) ? held.match && resolveEncoding(held.match.sourceEncoding) : own
    const changed =
      encoding === undefined || held.match === undefined
        ? undefined
        : drift(chart, shot.readings, encoding, working, then)
    const whole = { camera, isTarget, lut: held.name, ...(changed === undefined ? {} : { drift: changed }) }
    if (isTarget) return [{ ...whole, within: true, patches: [] }]
    const wanted =
      common ??
      ('camera' in target
        ? seen.get(target.camera)?.light
        : held.match && new Map(held.match.patches.map((one) => [one.patch, one.target])))
    if (wanted === undefined) {
      failures.push(
        new IsochipError('target-invalid', 'there is no target to compare with', {
          hint:
            'camera' in target
              ? `camera "${target.camera}" needs a chart and a LUT in this setup too`
              : 'the mean of the cameras stands in the match files: keep them beside the LUTs',
          place: { camera, setup },
        }),
      )
      return []
    }
    const patches = [...light].flatMap(([patch, value]) => {
      const goal = wanted.get(patch)
      return goal === undefined ? [] : [{ patch, dE00: deltaE00(lab(value), lab(goal)) }]
    })
    if (patches.length === 0) {
      failures.push(
        new IsochipError('clipped', 'no patch can be compared: all clip, here or in the target', {
          hint: 'expose the chart so that no patch clips',
          place: { camera, setup },
        }),
      )
      return []
    }
    const now = summarise(patches)
    const { mean, max } = show.tolerance
    return [
      {
        ...whole,
        now,
        ...(held.match === undefined ? {} : { made: held.match.summary.after }),
        within: now.mean <= mean && now.max <= max,
        patches,
      },
    ]
  })
}

async function findLut(folder: string, setup: string, camera: string, output: Encoding): Promise<Held> {
  for (const format of ['cube', 'clf']) {
    const name = `${setup}/${camera}.${format}`
    if (!(await stat(join(folder, name)).catch(() => undefined))?.isFile()) continue
    const apply = lutFunction(await readLutFile(join(folder, name)))
    const path = join(folder, setup, `${camera}.match.json`)
    const text = await readFile(path, 'utf8').catch(() => undefined)
    if (text === undefined) return { name, apply, output }
    const match = await parseMatchFile(text, path)
    return { name, apply, output: resolveEncoding(match.outputEncoding), match }
  }
  throw new IsochipError('lut-syntax', `there is no LUT ${join(folder, setup, `${camera}.cube`)}, nor .clf`, {
    hint: 'LUTs are looked for as SETUP/CAMERA.cube in the folder given with --luts',
  })
}
