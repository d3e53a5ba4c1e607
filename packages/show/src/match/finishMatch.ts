import { given, type Warning } from '@isochip/core'
import type { CameraPictures, LutReport } from '@isochip/report'
import type { OutputFolder } from '../files/outputFolder.ts'
import type { SetupMatch } from '../fit/matchSetup.ts'
import type { ShowPlan } from '../load/planShow.ts'
import { matchFileText } from '../matchFile/matchFile.ts'
import { toMatchFile } from '../matchFile/toMatchFile.ts'
import type { FileSums } from '../memo/fileSums.ts'
import type { Step } from '../memo/memo.ts'
import type { PageBudget } from '../pictures/pageBudget.ts'
import type { PictureSource } from '../pictures/takePicture.ts'
import { matchEndings } from '../showFile/show.ts'
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

const finishStep: Step<KeptFinish> = {
  name: 'finish',
  schema: async () => (await import('../memo/keptSchemas.ts')).keptFinish,
}

export const shotFile = (setup: string, camera: string, ending: string) => `${setup}/${camera}${ending}`
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
  { plan, pool, folder, memo, sums: known }: FinishContext,
): Promise<FinishedMatch> {
  const { show, chart, output } = plan
  const { setup, camera } = one
  const luts = matchEndings(show.output.formats).map((ending) => shotFile(setup, camera, ending))
  const whole = (warnings: readonly Warning[]): SetupMatch => ({
    ...one,
    match: { ...one.match, warnings: [...one.match.warnings, ...warnings] },
  })
  const { title, target, working, fit } = show
  const inputs = {
    match: one,
    settings: { title, target, working, fit, output: show.output },
    output: output.spec,
    chart: chart.id,
    picture: picture?.key,
    budget,
  }
  const make = async (): Promise<KeptFinish> => {
    const { files, lattice, warnings, pictures } = await pool.run('bake', given({ one, budget, picture }))
    const made = new Map<string, string>()
    const stage = async (name: string, content: Uint8Array | string) => {
      if (folder !== undefined) made.set(name, await folder.stage(name, content))
    }
    for (const [index, { bytes }] of files.entries()) await stage(luts[index]!, bytes)
    await stage(shotFile(setup, camera, '.match.json'), matchFileText(toMatchFile(plan, whole(warnings))))
    if (pictures !== undefined) await stage(shotFile(setup, camera, '.sampling.png'), pictures.png)
    const page = pictures?.page
    return { lattice, warnings, sums: made, ...given({ page }) }
  }
  // Without a folder no file is staged: what is kept then must not stand for files.
  const { value, cached } = await memo.memo(
    finishStep,
    { ...inputs, staged: folder !== undefined },
    make,
    (kept) => holdAll(kept.sums, folder, known),
  )
  return {
    match: whole(value.warnings),
    lut: { files: luts, ...value.lattice },
    ...given({ page: value.page }),
    sums: value.sums,
    cached,
  }
}

/** Are all the files there as they were made? Without a folder to write to there is nothing to look for. */
export async function holdAll(
  sums: ReadonlyMap<string, string>,
  folder: OutputFolder | undefined,
  known: FileSums,
): Promise<boolean> {
  if (folder === undefined) return true
  for (const [name, sum] of sums)
    if (!(await folder.hold(name, sum, await known.known(folder.at(name))))) return false
  return true
}
