import { createHash } from 'node:crypto'
import type { Warning } from '@isochip/core'
import type { CameraPictures, LutReport } from '@isochip/report'
import type { OutputFolder } from '../files/outputFolder.ts'
import type { SetupMatch } from '../fit/matchSetup.ts'
import type { ShowPlan } from '../load/planShow.ts'
import { matchFileText } from '../matchFile/matchFile.ts'
import { toMatchFile } from '../matchFile/toMatchFile.ts'
import { ContentCache } from '../memo/contentCache.ts'
import type { FileSums } from '../memo/fileSums.ts'
import type { PageBudget } from '../pictures/pageBudget.ts'
import type { PictureSource } from '../pictures/takePicture.ts'
import { plainMatch } from '../workers/plainMatch.ts'
import type { Equipped } from '../workers/withWorkers.ts'

export interface FinishContext extends Equipped {
  readonly plan: ShowPlan
  /** Where the files go; nothing is written without. */
  readonly folder?: OutputFolder
}

/** What became of a match: all but its figures, which it had before. */
export interface FinishedMatch {
  /** The match with what its LUTs have to say. */
  readonly match: SetupMatch
  readonly lut: LutReport
  readonly page?: CameraPictures
  /** Checksum of each of its files, by the path in the output folder. */
  readonly sums: ReadonlyMap<string, string>
  /** Are all its files those of an earlier run? */
  readonly cached: boolean
}

/** What a later run needs to know so as not to do it again. */
interface KeptFinish {
  readonly lattice: Omit<LutReport, 'files'>
  readonly warnings: readonly Warning[]
  readonly page?: CameraPictures
  readonly sums: ReadonlyMap<string, string>
}

export const shotFile = (setup: string, camera: string, ending: string) => `${setup}/${camera}${ending}`
const sha256 = (content: Uint8Array | string) => createHash('sha256').update(content).digest('hex')

/**
 * Bakes the LUTs of a match, draws its pictures and stages its files; where an earlier run made the same files and
 * they are still there, they stay.
 *
 * @throws IsochipError `output-unwritable`, `frame-unreadable`, `cancelled`
 */
export async function finishMatch(
  one: SetupMatch,
  picture: PictureSource | undefined,
  budget: PageBudget | undefined,
  { plan, pool, folder, kept }: FinishContext,
): Promise<FinishedMatch> {
  const { show, chart, output } = plan
  const plain = plainMatch(one)
  const luts = show.output.formats.map((format) => shotFile(one.setup, one.camera, `.${format}`))
  const { title, target, working, fit } = show
  const settings = { title, target, working, fit, output: show.output }
  const key = kept && ContentCache.key('finish', plain, settings, output.spec, chart.id, picture?.key, budget)
  const before = key === undefined ? undefined : await kept?.cache.get<KeptFinish>(key)
  const whole = (warnings: readonly Warning[]): SetupMatch => ({
    ...one,
    match: { ...one.match, warnings: [...one.match.warnings, ...warnings] },
  })
  if (before !== undefined && (await holdAll(before.sums, folder, kept?.sums))) {
    const { lattice, warnings, page, sums } = before
    return {
      match: whole(warnings),
      lut: { files: luts, ...lattice },
      ...(page === undefined ? {} : { page }),
      sums,
      cached: true,
    }
  }
  const { files, lattice, warnings, pictures } = await pool.run('bake', {
    one: plain,
    ...(budget === undefined ? {} : { budget }),
    ...(picture === undefined ? {} : { picture }),
  })
  const match = whole(warnings)
  const sums = new Map<string, string>()
  const stage = async (name: string, content: Uint8Array | string) => {
    if (kept !== undefined) sums.set(name, sha256(content))
    await folder?.stage(name, content)
  }
  for (const [index, { bytes }] of files.entries()) await stage(luts[index]!, bytes)
  await stage(shotFile(one.setup, one.camera, '.match.json'), matchFileText(toMatchFile(plan, match)))
  if (pictures !== undefined) await stage(shotFile(one.setup, one.camera, '.sampling.png'), pictures.png)
  const page = pictures?.page
  const made: KeptFinish = { lattice, warnings, sums, ...(page === undefined ? {} : { page }) }
  if (key !== undefined) await kept?.cache.put(key, made)
  return {
    match,
    lut: { files: luts, ...lattice },
    ...(page === undefined ? {} : { page }),
    sums,
    cached: false,
  }
}

/** Are all the files there as they were made? Without a folder to write to there is nothing to look for. */
export async function holdAll(
  sums: ReadonlyMap<string, string>,
  folder: OutputFolder | undefined,
  known: FileSums | undefined,
): Promise<boolean> {
  if (folder === undefined) return true
  for (const [name, sum] of sums)
    if (!(await folder.hold(name, sum, await known?.known(folder.at(name))))) return false
  return true
}
