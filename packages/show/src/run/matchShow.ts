import { join, resolve } from 'node:path'
import { setImmediate } from 'node:timers/promises'
import { IsochipError, type Warning } from '@isochip/core'
import { type SetupChange, type ShowReport, setupChanges, showVerdict } from '@isochip/report'
import { hireCrew } from '../crew/crew.ts'
import { errorOf } from '../crew/errorData.ts'
import { setupMatchOf } from '../crew/plainMatch.ts'
import type { FitResult } from '../crew/tasks.ts'
import { ContentCache } from '../files/contentCache.ts'
import { FileSums } from '../files/fileSums.ts'
import { noteFiles } from '../files/noteFiles.ts'
import { OutputFolder } from '../files/outputFolder.ts'
import { buildReport, type MatchExtras } from '../match/buildReport.ts'
import type { MatchFile } from '../match/matchFile.ts'
import { setupNames, withBorrowed } from '../match/matchReadings.ts'
import type { SetupMatch } from '../match/matchSetup.ts'
import { toMatchFile } from '../match/toMatchFile.ts'
import { type PageBudget, pageBudget } from '../pictures/pageBudget.ts'
import type { PictureSource } from '../pictures/takePicture.ts'
import { chartAge } from '../plan/chartAge.ts'
import type { Show } from '../showFile/show.ts'
import { checkCancelled } from './checkCancelled.ts'
import { eachBounded } from './eachBounded.ts'
import { type FinishContext, type FinishedMatch, finishMatch, shotFile } from './finishMatch.ts'
import { joinedFailures } from './joinedFailures.ts'
import { type LoadedShow, loadShow } from './loadShow.ts'
import { readSetup } from './readSetup.ts'
import type { ShotReadings } from './readShot.ts'
import type { ShowEvent } from './showEvent.ts'
import { hasSetupPages, setupPageFile, stageReport, summaryFiles } from './stageReport.ts'

export interface MatchShowOptions {
  /** Folder for the files; default `isochip-out` beside the show file. */
  readonly out?: string
  /** Replace files in it that isochip did not write. Default false. */
  readonly force?: boolean
  /** Default true: write the files. Otherwise everything is computed and nothing written. */
  readonly write?: boolean
  /** For a show at hand: folder from which its paths start. Default the working directory. */
  readonly folder?: string
  /**
   * Threads that decode, fit, bake and draw; 0: everything in this one. The result is the same. Default: one a
   * processor core, at most 8, and none for a handful of shots.
   */
  readonly workers?: number
  /**
   * Folder in which readings and matches are kept by the content of their files, so that another run, also after one
   * that was ended, does only what has changed. Default none.
   */
  readonly cache?: string
  /** Ends the work; nothing is written then. */
  readonly signal?: AbortSignal
  readonly onEvent?: (event: ShowEvent) => void
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
  /** Cameras that could not be matched, and why. The others are, and are written. */
  readonly failures: readonly IsochipError[]
  /** What should be known and is no property of the data, such as a chart past its date. Not in the files. */
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
  const folder = await OutputFolder.open(out, plannedFiles(loaded.plan.show), options)
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
        ...show.output.formats.map((format) => `.${format}`),
        '.match.json',
        ...(shot.kind === 'frames' ? ['.sampling.png'] : []),
      ].map((ending) => shotFile(shot.setup, camera.id, ending)),
    ),
  )
  const setups = hasSetupPages(show.cameras.flatMap(({ shots }) => shots).length) ? setupNames(show) : []
  return [...each, ...summaryFiles, ...setups.map(setupPageFile)]
}

async function run(
  loaded: LoadedShow,
  out: string,
  folder: OutputFolder | undefined,
  options: MatchShowOptions,
): Promise<ShowMatch> {
  const { show } = loaded.plan
  const { signal, workers } = options
  const shots = show.cameras.flatMap((camera) => camera.shots)
  const cache = options.cache === undefined ? undefined : new ContentCache(options.cache)
  const kept = cache && {
    cache,
    sums: await FileSums.open(cache, `${resolve(loaded.folder)}\n${resolve(out)}`),
  }
  const crew = hireCrew(
    { loaded, ...(cache === undefined ? {} : { cache }), ...(signal === undefined ? {} : { signal }) },
    shots.length,
    workers,
  )
  try {
    return await matchAll(loaded, out, options, {
      plan: loaded.plan,
      crew,
      ...(folder === undefined ? {} : { folder }),
      ...(kept === undefined ? {} : { kept }),
    })
  } finally {
    await crew.end()
    // Also of a run that was ended: the frames that it has read need not be read again.
    await kept?.sums.save()
    await cache?.prune()
  }
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
  const { folder, kept } = context
  const { signal } = options
  const tell = options.onEvent ?? (() => undefined)
  const all = show.cameras.flatMap(({ shots }) => shots)
  const shots = all.filter(({ kind }) => kind !== 'borrowed').length
  const setups = setupNames(show)
  const budget = pageBudget(shots, plan.chart.patches.length)
  const counts = { read: 0, keptShots: 0, finished: 0, keptMatches: 0 }
  tell({ type: 'started', shots, setups: setups.length, matches: all.length })

  const finish = async (one: SetupMatch, picture: PictureSource | undefined, budget?: PageBudget) => {
    checkCancelled(signal)
    const finished = await finishMatch(one, picture, budget, context)
    const { camera, setup } = one
    const { cached } = finished
    if (cached) counts.keptMatches++
    counts.finished++
    tell({ type: 'match-finished', camera, setup, cached, done: counts.finished, matches: all.length })
    // Whoever waits for the disk lets others work, and hears of a signal.
    await setImmediate()
    return finished
  }
  const outcomes = await eachBounded(setups, setupsAtOnce, async (setup): Promise<SetupOutcome> => {
    const failures: IsochipError[] = []
    const readings = await readSetup(
      loaded,
      setup,
      { ...context, keepFrames: folder !== undefined },
      (result) => {
        counts.read++
        const done = counts.read
        if (result instanceof IsochipError) {
          failures.push(result)
          tell({ type: 'shot-failed', error: result, done, shots })
          return
        }
        const { camera, cached } = result
        if (cached) counts.keptShots++
        tell({ type: 'shot-read', camera, setup, cached, done, shots })
      },
    )
    failures.sort(byCamera(show))
    if (readings.length === 0) return { matches: [], failures }
    const fitted = await fitSetup(setup, readings, context)
    tell({ type: 'setup-matched', setup, cameras: fitted.matches.map(({ camera }) => camera) })
    const matches = await eachBounded(fitted.matches, context.crew.size, async (one) => {
      const { picture } = readings.find(({ camera }) => camera === one.camera)!
      return await finish(one, picture, budget)
    })
    return { matches, failures: [...failures, ...fitted.failures] }
  })
  const failures = outcomes.flatMap((outcome) => outcome.failures)
  const charted = outcomes.flatMap((outcome) => outcome.matches)
  const matches = withBorrowed(
    show,
    charted.map(({ match }) => match),
  )
  // The target alone is nothing that anybody asked for.
  if (failures.length > 0 && !matches.some(({ isTarget }) => !isTarget)) throw joinedFailures(failures)

  const finished: FinishedMatch[] = []
  for (const one of matches)
    finished.push(charted.find(({ match }) => match === one) ?? (await finish(one, undefined)))
  const baked = finished.map(({ match }) => match)
  const extras = extrasOf(finished)
  const report = buildReport(plan, baked, loaded.inputs, (one) => extras.get(one) ?? {}, failures)
  const summaries = await stageReport(report, context)
  checkCancelled(signal)
  const written = (await folder?.commit()) ?? { files: [], unchanged: [] }
  if (folder !== undefined && kept !== undefined)
    await noteFiles(folder, [summaries, ...finished.map(({ sums }) => sums)], kept.sums)
  const old = chartAge(plan.chart, options.today ?? new Date().toISOString().slice(0, 10))
  tell({ type: 'written', files: written.files.length, unchanged: written.unchanged.length })
  return {
    report,
    matches: baked.map((one) => toMatchFile(plan, one)),
    changes: setupChanges(report),
    within: showVerdict(report).within,
    failures,
    cautions: old === undefined ? [] : [old],
    out,
    ...written,
    kept: { shots: counts.keptShots, matches: counts.keptMatches },
  }
}

/** In the order of the show, in whatever order the work ended. */
const byCamera = (show: Show) => (a: IsochipError, b: IsochipError) => {
  const place = ({ place }: IsochipError) => show.cameras.findIndex(({ id }) => id === place.camera)
  return place(a) - place(b)
}

/** Fits the cameras of a setup, where no earlier run has done it with the same readings. */
async function fitSetup(
  setup: string,
  readings: readonly ShotReadings[],
  { plan, crew, kept }: FinishContext,
): Promise<{ matches: readonly SetupMatch[]; failures: readonly IsochipError[] }> {
  const shots = readings.map(({ camera, readings, bits, inputs, warnings }) => ({
    camera,
    setup,
    readings,
    bits,
    inputs,
    warnings,
  }))
  const { show, chart } = plan
  const { target, working, fit } = show
  const encodings = shots.map(({ camera }) => plan.encodings.get(camera)!.spec)
  const key = ContentCache.key('fit', { target, working, fit }, chart, encodings, shots)
  const before = await kept?.cache.get<FitResult>(key)
  const { matches, failures } = before ?? (await crew.run('fit', { setup, shots }))
  if (before === undefined) await kept?.cache.put(key, { matches, failures } satisfies FitResult)
  return { matches: matches.map(setupMatchOf), failures: failures.map(errorOf) }
}

/** The report on each match: its LUT, and its pictures beside those of the target. */
function extrasOf(finished: readonly FinishedMatch[]): ReadonlyMap<SetupMatch, MatchExtras> {
  const targets = new Map(
    finished.filter(({ match }) => match.isTarget).map(({ match, page }) => [match.setup, page?.before]),
  )
  return new Map(
    finished.map(({ match, lut, page }): [SetupMatch, MatchExtras] => {
      if (page === undefined) return [match, { lut }]
      const target = match.isTarget ? undefined : targets.get(match.setup)
      const { before } = page
      const beside = target?.width === before?.width && target?.height === before?.height
      return [match, { lut, pictures: { ...page, ...(beside && target !== undefined ? { target } : {}) } }]
    }),
  )
}
