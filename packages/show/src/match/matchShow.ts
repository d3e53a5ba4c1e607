import { join } from 'node:path'
import { setImmediate } from 'node:timers/promises'
import { given, type IsochipError, isIsochipError, type Warning } from '@isochip/core'
import {
  type LineUpReport,
  type SetupChange,
  type ShowReport,
  setupChanges,
  showVerdict,
} from '@isochip/report'
import { OutputFolder } from '../files/outputFolder.ts'
import { fitSetup } from '../fit/fitSetup.ts'
import { chartedShots, setupNames, withBorrowed } from '../fit/matchReadings.ts'
import type { SetupMatch } from '../fit/matchSetup.ts'
import { lineUpReport } from '../lineup/lineUpReport.ts'
import { chartAge } from '../load/chartAge.ts'
import { type LoadedShow, loadShow } from '../load/loadShow.ts'
import type { ShowPlan } from '../load/planShow.ts'
import { ocioFiles } from '../lut/ocioConfig.ts'
import type { MatchFile } from '../matchFile/matchFile.ts'
import { toMatchFile } from '../matchFile/toMatchFile.ts'
import { noteFiles } from '../memo/noteFiles.ts'
import { type PageBudget, pageBudget } from '../pictures/pageBudget.ts'
import type { PictureSource } from '../pictures/takePicture.ts'
import { checkCancelled } from '../progress/checkCancelled.ts'
import { eachBounded } from '../progress/eachBounded.ts'
import { joinedFailures } from '../progress/joinedFailures.ts'
import { ReadingProgress } from '../progress/readingProgress.ts'
import { readSetup } from '../read/readSetup.ts'
import type { ReadShowOptions } from '../read/readShow.ts'
import { matchEndings, type Show } from '../showFile/show.ts'
import { withSetups } from '../showFile/splitShow.ts'
import { withWorkers } from '../workers/withWorkers.ts'
import { buildReport, type MatchExtras } from './buildReport.ts'
import { type FinishContext, type FinishedMatch, finishMatch, shotFile } from './finishMatch.ts'
import { leftFiles } from './leftFiles.ts'
import { hasSetupPages, setupPageFile, stageReport, stageSetupPage, summaryFiles } from './stageReport.ts'

export interface MatchShowOptions extends ReadShowOptions {
  /** Folder for the files; default `isochip-out` beside the show file. */
  readonly out?: string
  /** Replace files in it that isochip did not write. Default false. */
  readonly force?: boolean
  /**
   * Is this a part of a show (`splitShow`) whose other parts go into the same folder, one after the other? Default false:
   * the list of checksums has the files of this run alone, and what else isochip wrote there counts as left over. The
   * reports are those of the part that came last.
   */
  readonly part?: boolean
  /** Default true: write the files. Otherwise everything is computed and nothing written. */
  readonly write?: boolean
  /** For a show at hand: folder from which its paths start. Default the working directory. */
  readonly folder?: string
  /** ISO date by which the chart is judged too old; default the date of the computer. Nothing written depends on it. */
  readonly today?: string
}

export interface ShowMatch {
  readonly report: ShowReport
  readonly matches: readonly MatchFile[]
  /** What changes from setup to setup at each camera, so that a wrong filter or another setting stands out. */
  readonly changes: readonly SetupChange[]
  /** Is every match within the show's tolerance? */
  readonly within: boolean
  /** Matches that are within tolerance by their figures, which are in doubt. */
  readonly doubtful: number
  /** Cameras that could not be matched, and why. The others are, and are written. */
  readonly failures: readonly IsochipError[]
  /** What should be known and is no property of the data: a chart past its date, files left from an earlier run. Not in the files. */
  readonly cautions: readonly Warning[]
  /** Folder of the files. */
  readonly out: string
  /** Files, relative to `out`; empty where nothing was to be written. */
  readonly files: readonly string[]
  /** Those of them that were there with the same bytes. */
  readonly unchanged: readonly string[]
  /** How much of it was done in an earlier run, and not again. */
  readonly kept: { readonly shots: number; readonly matches: number }
}

/**
 * A whole show: reads its frames and readings, matches every camera and setup to the target, and writes LUTs, match
 * files and report. All files appear together at the end, or none.
 *
 * A camera whose chart cannot be read does not stop the others; it is in `failures`. Where nothing is left to be
 * delivered, the first of them is thrown.
 *
 * @throws IsochipError for whatever is wrong with the input; `output-exists`, `output-unwritable`; `cancelled`
 */
export async function matchShow(show: string | Show, options: MatchShowOptions = {}): Promise<ShowMatch> {
  const loaded = await loadShow(show, options.folder)
  const out = options.out ?? join(loaded.folder, 'isochip-out')
  if (options.write === false) return await run(loaded, out, undefined, options)
  const folder = await OutputFolder.open(out, plannedFiles(loaded.plan.show), {
    force: options.force ?? false,
    list: options.part ? 'part' : 'whole',
  })
  try {
    return await run(loaded, out, folder, options)
  } finally {
    await folder.discard()
  }
}

/** Every file that a run may write. */
function plannedFiles(show: Show): string[] {
  const each = show.cameras.flatMap((camera) =>
    camera.shots.flatMap((shot) =>
      [
        ...matchEndings(show.output.formats),
        '.match.json',
        ...(shot.kind === 'frames' ? ['.sampling.png'] : []),
      ].map((ending) => shotFile(shot.setup, camera.id, ending)),
    ),
  )
  const setups = hasSetupPages(show.cameras.flatMap(({ shots }) => shots).length) ? setupNames(show) : []
  const config = show.output.formats.includes('ocio') ? ocioFiles : []
  return [...each, ...config, ...summaryFiles, ...setups.map(setupPageFile)]
}

async function run(
  loaded: LoadedShow,
  out: string,
  folder: OutputFolder | undefined,
  options: MatchShowOptions,
): Promise<ShowMatch> {
  return await withWorkers(loaded, options, out, async (equipped) => {
    const context = { plan: loaded.plan, ...equipped, ...given({ folder }) }
    return await matchAll(loaded, out, options, context)
  })
}

const interrupted: Warning = {
  code: 'files-mixed',
  message:
    'an earlier run was ended in this folder, and may have left files of two runs: all are now those of this one',
}

/** What one setup came to. */
interface SetupOutcome {
  readonly matches: readonly FinishedMatch[]
  readonly failures: readonly IsochipError[]
}

/** Setups that are under way at once: while one is baked, the frames of the next are decoded. */
const setupsAtOnce = 2

async function matchAll(
  loaded: LoadedShow,
  out: string,
  options: MatchShowOptions,
  context: FinishContext,
): Promise<ShowMatch> {
  const { plan } = loaded
  const { show } = plan
  const { folder } = context
  const { signal } = options
  const tell = options.onEvent ?? (() => undefined)
  const all = show.cameras.flatMap(({ shots }) => shots)
  const shots = chartedShots(show)
  const setups = setupNames(show)
  const pages = hasSetupPages(all.length) ? new Map<string, ReadonlyMap<string, string>>() : undefined
  const shotsOfPage =
    pages === undefined ? shots : Math.max(...setups.map((setup) => chartedShots(show, setup)))
  // Nothing is drawn that nobody will see.
  const pictures = folder !== undefined && show.output.pictures !== false
  const budget = pictures ? pageBudget(shotsOfPage, plan.chart.patches.length) : undefined
  const progress = new ReadingProgress(shots, tell)
  const counts = { finished: 0, kept: 0 }
  tell({ type: 'started', shots, setups: setups.length, matches: all.length })

  const finish = async (one: SetupMatch, picture: PictureSource | undefined, budget?: PageBudget) => {
    checkCancelled(signal)
    const finished = await finishMatch(one, picture, budget, context)
    const { camera, setup } = one
    const { cached } = finished
    if (cached) counts.kept++
    counts.finished++
    tell({ type: 'match-finished', camera, setup, cached, done: counts.finished, matches: all.length })
    // Whoever waits for the disk lets others work, and hears of a signal.
    await setImmediate()
    return finished
  }
  const outcomes = await eachBounded(setups, setupsAtOnce, async (setup): Promise<SetupOutcome> => {
    const failures: IsochipError[] = []
    const reading = { ...context, keepFrames: pictures }
    const readings = await readSetup(loaded, setup, reading, (result) => {
      if (isIsochipError(result)) failures.push(result)
      progress.ended(setup, result)
    })
    failures.sort(byCamera(show))
    if (readings.length === 0) return { matches: [], failures }
    const fitted = await fitSetup(plan, setup, readings, context)
    tell({ type: 'setup-matched', setup, cameras: fitted.matches.map(({ camera }) => camera) })
    const matches = await eachBounded(fitted.matches, context.pool.size, async (one) => {
      const { picture } = readings.find(({ camera }) => camera === one.camera)!
      return await finish(one, pictures ? picture : undefined, budget)
    })
    // A setup of which all is there has its page drawn while others are read; it need not wait for the last of them.
    if (folder !== undefined && pages !== undefined) {
      const own = { ...plan, show: withSetups(show, new Set([setup])) }
      const report = reportOf(own, loaded.inputs, matches, [])
      if (report.failed === undefined) pages.set(setup, await stageSetupPage(report, setup, context))
    }
    return { matches, failures: [...failures, ...fitted.failures] }
  })
  const failures = outcomes.flatMap((outcome) => outcome.failures)
  const charted = outcomes.flatMap((outcome) => outcome.matches)
  const matches = withBorrowed(
    show,
    charted.map(({ match }) => match),
  )
  // The reference camera alone is nothing that anybody asked for.
  if (failures.length > 0 && !matches.some(({ match }) => match.kind === 'fitted'))
    throw joinedFailures(failures)

  const finished: FinishedMatch[] = []
  for (const one of matches)
    finished.push(charted.find(({ match }) => match === one) ?? (await finish(one, undefined)))
  const kept = { shots: progress.kept, matches: counts.kept }
  return await deliver(loaded, out, options, context, { finished, failures, pages, kept })
}

interface Deliverable extends Pick<ShowMatch, 'failures' | 'kept'> {
  readonly finished: readonly FinishedMatch[]
  /** Checksums of the files of the setups' own pages, where there are any and as far as they are staged. */
  readonly pages: ReadonlyMap<string, ReadonlyMap<string, string>> | undefined
}

/** The report over all matches, and all files in their place. */
async function deliver(
  loaded: LoadedShow,
  out: string,
  { today, signal, onEvent }: MatchShowOptions,
  context: FinishContext,
  { finished, failures, pages, kept }: Deliverable,
): Promise<ShowMatch> {
  const { plan } = loaded
  const { folder, memo } = context
  const lineUp = await lineUpReport(loaded)
  const report = reportOf(plan, loaded.inputs, finished, failures, lineUp.report)
  const summaries = await stageReport(report, context, pages)
  const judged = showVerdict(report)
  checkCancelled(signal)
  const { left, ...written } = (await folder?.commit()) ?? { files: [], unchanged: [], left: [] }
  if (folder !== undefined && memo.folder !== undefined)
    await noteFiles(folder, [summaries, ...finished.map(({ sums }) => sums)], context.sums)
  const cautions = [
    chartAge(plan.chart, today ?? new Date().toISOString().slice(0, 10)),
    leftFiles(left),
    lineUp.caution,
    ...(folder?.interrupted ? [interrupted] : []),
  ].filter((caution) => caution !== undefined)
  onEvent?.({ type: 'written', files: written.files.length, unchanged: written.unchanged.length })
  return {
    report,
    matches: finished.map(({ match }) => toMatchFile(plan, match)),
    changes: setupChanges(report),
    within: judged.within,
    doubtful: judged.doubtful.length,
    failures,
    cautions,
    out,
    ...written,
    kept,
  }
}

/** In the order of the show, in whatever order the work ended. */
const byCamera = (show: Show) => (a: IsochipError, b: IsochipError) => {
  const place = ({ place }: IsochipError) => show.cameras.findIndex(({ id }) => id === place.camera)
  return place(a) - place(b)
}

function reportOf(
  plan: ShowPlan,
  inputs: LoadedShow['inputs'],
  finished: readonly FinishedMatch[],
  failures: readonly IsochipError[],
  lineUp?: LineUpReport,
): ShowReport {
  const extras = extrasOf(finished)
  const matches = finished.map(({ match }) => match)
  return buildReport(plan, matches, inputs, (one) => extras.get(one) ?? {}, failures, lineUp)
}

const isReference = ({ match }: SetupMatch) => match.kind === 'reference'

/** The report on each match: its LUT, and its pictures beside those of the target. */
function extrasOf(finished: readonly FinishedMatch[]): ReadonlyMap<SetupMatch, MatchExtras> {
  const targets = new Map(
    finished.filter(({ match }) => isReference(match)).map(({ match, page }) => [match.setup, page?.before]),
  )
  return new Map(
    finished.map(({ match, lut, page }): [SetupMatch, MatchExtras] => {
      if (page === undefined) return [match, { lut }]
      const target = isReference(match) ? undefined : targets.get(match.setup)
      const { before } = page
      const beside = target?.width === before?.width && target?.height === before?.height
      return [match, { lut, pictures: { ...page, ...(beside && target !== undefined ? { target } : {}) } }]
    }),
  )
}
