import { readFile, stat } from 'node:fs/promises'
import { join } from 'node:path'
import { IsochipError, isIsochipError, type Warning } from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import { fileOfRun, listedSums, type RunFiles } from '../files/checkFiles.ts'
import { loadShow } from '../load/loadShow.ts'
import { type ShowPlan, withPlace } from '../load/planShow.ts'
import { joinedFailures } from '../progress/joinedFailures.ts'
import { type ReadShowOptions, readShow, type Sheet } from '../read/readShow.ts'
import type { Show } from '../showFile/show.ts'
import { findLut, noLut } from './findLut.ts'
import type { verificationFile } from './verificationShape.ts'
import { type Sight, type VerifiedCamera, verifyCamera } from './verifyCamera.ts'

/** A verification as a document, `verify/1`. */
export interface VerificationFile extends Shape<typeof verificationFile> {}

export interface Verification extends Omit<VerificationFile, 'isochip' | 'failures'> {
  /** Cameras that could not be looked at, and why. */
  readonly failures: readonly IsochipError[]
}

export interface VerifyShowOptions extends ReadShowOptions {
  /**
   * Folder of the LUTs: `SETUP/CAMERA.cube` or `.clf`, or `CAMERA.cube` for all setups; beside them `CAMERA.match.json`
   * where isochip made them.
   */
  readonly luts: string
  /** For a show at hand: folder from which its paths start. */
  readonly folder?: string
}

/**
 * Puts new charts through LUTs that were made earlier, by whomever, and says how far the cameras now are from the
 * target, and what has changed at each.
 *
 * With a camera as the target, its chart of now is the target: what counts is whether the cameras still look alike.
 * A LUT that the show borrows from another setup is judged by the chart of that setup.
 *
 * @throws IsochipError for whatever is wrong with the show; where no camera could be looked at, the first reason
 */
export async function verifyShow(show: string | Show, options: VerifyShowOptions): Promise<Verification> {
  const loaded = await loadShow(show, options.folder)
  const { plan } = loaded
  if (!(await stat(options.luts).catch(() => undefined))?.isDirectory())
    throw new IsochipError('lut-syntax', 'there is no such folder of LUTs', {
      hint: 'give the folder that holds SETUP/CAMERA.cube, such as isochip-out',
      place: { file: options.luts },
    })
  const { sheets, failures: unread } = await readShow(loaded, options)
  const failures = [...unread]
  const reported = await reportedCameras(options.luts)
  const runFiles = await fileOfRun(options.luts)
  const setups: { setup: string; cameras: readonly VerifiedCamera[] }[] = []
  for (const setup of sheets.keys()) {
    const cameras = await verifySetup(
      plan,
      setup,
      sheets,
      { folder: options.luts, reported, runFiles },
      failures,
    )
    if (cameras.length > 0) setups.push({ setup, cameras })
  }
  const judged = setups.flatMap(({ cameras }) => cameras).filter(({ isTarget }) => !isTarget)
  if (failures.length > 0 && judged.length === 0) throw joinedFailures(failures)
  const { title, tolerance, fit } = plan.show
  return {
    title,
    view: fit.view ?? 'scene',
    tolerance,
    within: judged.every(({ within }) => within),
    setups,
    failures,
  }
}

const matchEnding = '.match.json'

interface Held {
  readonly folder: string
  /** `SETUP/CAMERA` of the report beside the LUTs. */
  readonly reported: ReadonlySet<string> | undefined
  readonly runFiles: RunFiles
}

async function verifySetup(
  plan: ShowPlan,
  setup: string,
  sheets: ReadonlyMap<string, readonly Sheet[]>,
  held: Held,
  failures: IsochipError[],
): Promise<VerifiedCamera[]> {
  const { target } = plan.show
  const judged: VerifiedCamera[] = []
  const goals = new Map<string, Promise<Sight | undefined>>()
  for (const { id: camera, shots } of plan.show.cameras) {
    const shot = shots.find((one) => one.setup === setup)
    if (shot === undefined) continue
    const charted = shot.kind === 'borrowed' ? shot.borrow : setup
    try {
      const own = await sightOf(plan, setup, charted, camera, sheets, held)
      // What could not be read is among the failures already.
      if (own === undefined) continue
      judged.push(
        verifyCamera(plan, own, 'camera' in target ? await goalOf(charted, target.camera) : undefined),
      )
    } catch (cause) {
      const error = withPlace(cause, { camera, setup })
      if (!isIsochipError(error)) throw error
      failures.push(error)
    }
  }
  return judged

  /** The target camera's own; its LUT is read once for all cameras. */
  function goalOf(charted: string, camera: string): Promise<Sight | undefined> {
    const known = goals.get(charted) ?? sightOf(plan, charted, charted, camera, sheets, held)
    goals.set(charted, known)
    return known
  }
}

/** @returns undefined where there is no chart */
async function sightOf(
  plan: ShowPlan,
  setup: string,
  charted: string,
  camera: string,
  sheets: ReadonlyMap<string, readonly Sheet[]>,
  { folder, reported, runFiles }: Held,
): Promise<Sight | undefined> {
  const sheet = sheets.get(charted)?.find((one) => one.camera === camera)
  if (sheet === undefined) return undefined
  const { readings, bits, warnings } = sheet
  const { range } = plan.encodings.get(camera)!
  const lut = await findLut(folder, setup, camera, plan, { readings, range, bits })
  const isTarget = 'camera' in plan.show.target && plan.show.target.camera === camera
  if (lut === undefined && !isTarget) throw noLut(folder, setup, camera)
  const left: Warning[] =
    lut?.match === undefined || reported === undefined || reported.has(`${setup}/${camera}`)
      ? []
      : [
          {
            code: 'lut-of-earlier-run',
            message: `the report beside the LUTs does not have this camera: ${lut.name} is left from an earlier run`,
            place: { camera, setup },
          },
        ]
  const mixed: Warning[] = []
  if (lut !== undefined) {
    for (const file of [lut.name, ...(lut.matchName === undefined ? [] : [lut.matchName])]) {
      const message = await runFiles(file)
      if (message !== undefined) mixed.push({ code: 'files-mixed', message, place: { camera, setup } })
    }
  }
  return {
    camera,
    setup,
    ...(charted === setup ? {} : { borrowed: charted }),
    readings,
    bits,
    warnings: [...warnings, ...left, ...mixed],
    lut,
  }
}

/**
 * The cameras of the report that lies beside the LUTs, where there is one that can be read, and those of the list of
 * checksums: of a show that was matched in parts, the report has the last part alone.
 */
async function reportedCameras(folder: string): Promise<ReadonlySet<string> | undefined> {
  const listed = [...((await listedSums(folder))?.keys() ?? [])].flatMap((file) =>
    file.endsWith(matchEnding) ? [file.slice(0, -matchEnding.length)] : [],
  )
  const text = await readFile(join(folder, 'report.json'), 'utf8').catch(() => undefined)
  if (text === undefined) return undefined
  try {
    const { isochip, setups } = JSON.parse(text) as {
      isochip?: string
      setups?: { setup: string; cameras: { camera: string }[] }[]
    }
    if (!/^report\/[123]$/.test(isochip ?? '') || setups === undefined) return undefined
    const reported = setups.flatMap(({ setup, cameras }) => cameras.map(({ camera }) => `${setup}/${camera}`))
    return new Set([...reported, ...listed])
  } catch {
    // A file of another kind says nothing.
    return undefined
  }
}
