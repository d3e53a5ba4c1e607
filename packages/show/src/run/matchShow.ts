import { join } from 'node:path'
import { setImmediate } from 'node:timers/promises'
import { IsochipError, type Warning } from '@isochip/core'
import {
  type Picture,
  reportHtml,
  reportJson,
  residualsCsv,
  type SetupChange,
  type ShowReport,
  setupChanges,
  showVerdict,
} from '@isochip/report'
import { ContentCache } from '../files/contentCache.ts'
import { OutputFolder } from '../files/outputFolder.ts'
import { markHtml } from '../files/ownMark.ts'
import { bakeFormats } from '../lut/bakeFormats.ts'
import { buildReport, type MatchExtras } from '../match/buildReport.ts'
import { type MatchFile, matchFileText } from '../match/matchFile.ts'
import { setupNames, withBorrowed } from '../match/matchReadings.ts'
import { matchSetup, type SetupMatch } from '../match/matchSetup.ts'
import { toMatchFile } from '../match/toMatchFile.ts'
import { shotPictures } from '../pictures/shotPictures.ts'
import { chartAge } from '../plan/chartAge.ts'
import type { ShowPlan } from '../plan/planShow.ts'
import type { Show } from '../showFile/show.ts'
import { checkCancelled } from './checkCancelled.ts'
import { joinedFailures } from './joinedFailures.ts'
import { type LoadedShow, loadShow } from './loadShow.ts'
import { readSetup } from './readSetup.ts'
import type { ShotReadings } from './readShot.ts'

/** What happens while a show is matched; for a progress display, and for warnings as they come. */
export type ShowEvent =
  | { readonly type: 'started'; readonly shots: number; readonly setups: number }
  | {
      readonly type: 'shot-read'
      readonly camera: string
      readonly setup: string
      /** Was it read in an earlier run? */
      readonly cached: boolean
      readonly done: number
      readonly shots: number
    }
  | {
      readonly type: 'shot-failed'
      readonly error: IsochipError
      readonly done: number
      readonly shots: number
    }
  | { readonly type: 'setup-matched'; readonly setup: string; readonly cameras: readonly string[] }
  | { readonly type: 'written'; readonly files: number; readonly unchanged: number }

export interface MatchShowOptions {
  /** Folder for the files; default `isochip-out` beside the show file. */
  readonly out?: string
  /** Replace files in it that isochip did not write. Default false. */
  readonly force?: boolean
  /** Default true: write the files. Otherwise everything is computed and nothing written. */
  readonly write?: boolean
  /** For a show at hand: folder from which its paths start. Default the working directory. */
  readonly folder?: string
  /** Frames that are decoded at once. Default: one a processor core, at most 8. */
  readonly concurrency?: number
  /**
   * Folder in which readings and pictures are kept by the content of their files, so that another run, also after one
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
}

/** More shots than this have no before and after in the page: it would no longer open. */
const mostPictures = 24

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

const shotFile = (setup: string, camera: string, ending: string) => `${setup}/${camera}${ending}`
const summaryFiles = ['residuals.csv', 'report.json', 'report.html'] as const

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
  return [...each, ...summaryFiles]
}

async function run(
  loaded: LoadedShow,
  out: string,
  folder: OutputFolder | undefined,
  options: MatchShowOptions,
): Promise<ShowMatch> {
  const { plan } = loaded
  const { show } = plan
  const tell = options.onEvent ?? (() => undefined)
  const failures: IsochipError[] = []
  const extras = new Map<string, MatchExtras>()
  const charted: SetupMatch[] = []
  const shots = show.cameras.flatMap((camera) =>
    camera.shots.filter(({ kind }) => kind !== 'borrowed'),
  ).length
  const setups = setupNames(show)
  tell({ type: 'started', shots, setups: setups.length })
  let done = 0

  for (const setup of setups) {
    const readings = await readSetup(loaded, setup, options, (result) => {
      done++
      if (result instanceof IsochipError) {
        failures.push(result)
        tell({ type: 'shot-failed', error: result, done, shots })
      } else tell({ type: 'shot-read', camera: result.camera, setup, cached: result.cached, done, shots })
    })
    if (readings.length === 0) continue
    const result = matchSetup(plan, setup, readings)
    failures.push(...result.failures)
    charted.push(...result.matches)
    tell({ type: 'setup-matched', setup, cameras: result.matches.map(({ camera }) => camera) })
    if (folder !== undefined)
      await drawSetup(plan, result.matches, readings, shots <= mostPictures, folder, options.cache, extras)
    checkCancelled(options.signal)
  }
  const matches = withBorrowed(show, charted)
  // The target alone is nothing that anybody asked for.
  if (failures.length > 0 && !matches.some(({ isTarget }) => !isTarget)) throw joinedFailures(failures)

  const baked: SetupMatch[] = []
  for (const one of matches) {
    checkCancelled(options.signal)
    const { files, lattice, warnings } = bakeFormats(plan, one)
    const names = files.map(({ format }) => shotFile(one.setup, one.camera, `.${format}`))
    for (const [index, { bytes }] of files.entries()) await folder?.stage(names[index]!, bytes)
    extras.set(key(one), { ...extras.get(key(one)), lut: { files: names, ...lattice } })
    const whole = { ...one, match: { ...one.match, warnings: [...one.match.warnings, ...warnings] } }
    await folder?.stage(
      shotFile(one.setup, one.camera, '.match.json'),
      matchFileText(toMatchFile(plan, whole)),
    )
    baked.push(whole)
    // Whoever waits for the disk lets others work, and hears of a signal.
    await setImmediate()
  }
  const report = buildReport(plan, baked, loaded.inputs, (one) => extras.get(key(one)) ?? {})
  await folder?.stage('residuals.csv', residualsCsv(report))
  await folder?.stage('report.json', reportJson(report))
  await folder?.stage('report.html', markHtml(reportHtml(report), report.version))
  checkCancelled(options.signal)
  const written = (await folder?.commit()) ?? { files: [], unchanged: [] }
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
  }
}

const key = ({ setup, camera }: { setup: string; camera: string }) => `${setup}/${camera}`

/** The pictures of one setup's cameras: the sampling as a file, before and after for the report. */
async function drawSetup(
  plan: ShowPlan,
  matches: readonly SetupMatch[],
  shots: readonly ShotReadings[],
  withPage: boolean,
  folder: OutputFolder,
  cacheFolder: string | undefined,
  extras: Map<string, MatchExtras>,
): Promise<void> {
  const { show, working } = plan
  const cache = cacheFolder === undefined ? {} : { cache: new ContentCache(cacheFolder) }
  const draw = { working, clippedShare: show.fit.clippedShare ?? 0.01, withPage, ...cache }
  let target: Picture | undefined
  // The target first, since the others are shown beside it.
  for (const one of [...matches].sort((a, b) => Number(b.isTarget) - Number(a.isTarget))) {
    const picture = shots.find(({ camera }) => camera === one.camera)?.picture
    if (picture === undefined) continue
    const { png, page } = await shotPictures(picture, one, draw)
    await folder.stage(shotFile(one.setup, one.camera, '.sampling.png'), png)
    if (page === undefined) continue
    if (one.isTarget) target = page.before
    const { before } = page
    const beside = !one.isTarget && target?.width === before?.width && target?.height === before?.height
    extras.set(key(one), { pictures: { ...page, ...(beside && target !== undefined ? { target } : {}) } })
  }
}
