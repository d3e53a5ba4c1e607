import { createHash } from 'node:crypto'
import { type PageOptions, reportHtml, reportJson, residualsCsv, type ShowReport } from '@isochip/report'
import { markHtml } from '../files/ownMark.ts'
import { ContentCache } from '../memo/contentCache.ts'
import { type FinishContext, holdAll } from './finishMatch.ts'

/** With more shots than this one page would be too much, to open and to find something in: each setup has its own. */
const mostOnOnePage = 32

export const summaryFiles = ['residuals.csv', 'report.json', 'report.html'] as const
export const setupPageFile = (setup: string) => `${setup}/report.html`

/** Has each setup of a show with so many shots a page of its own? */
export const hasSetupPages = (shots: number): boolean => shots > mostOnOnePage

/** Files that are made together, from one thing. */
interface Part {
  readonly report: ShowReport
  readonly files: readonly (readonly [name: string, make: () => string])[]
}

type ReportContext = Pick<FinishContext, 'folder' | 'kept'>
type Sums = ReadonlyMap<string, string>

/**
 * Stages the files about the show as a whole, and the pages of its setups where it is a large one; those that are there
 * already stay. Returns their checksums.
 *
 * @param pages where each setup has one: those that were staged before, with their checksums
 */
export async function stageReport(
  report: ShowReport,
  context: ReportContext,
  pages: ReadonlyMap<string, Sums> | undefined,
): Promise<Sums> {
  const sums = [await stagePart(wholePart(report, pages !== undefined), context)]
  if (pages !== undefined)
    for (const { setup } of report.setups)
      sums.push(pages.get(setup) ?? (await stageSetupPage(report, setup, context)))
  return new Map(sums.flatMap((of) => [...of]))
}

/** Stages the page of one of the setups of a report. */
export const stageSetupPage = (report: ShowReport, setup: string, context: ReportContext): Promise<Sums> =>
  stagePart(setupPart(report, setup), context)

async function stagePart(part: Part, { folder, kept }: ReportContext): Promise<Sums> {
  if (folder === undefined) return new Map()
  const key =
    kept === undefined
      ? undefined
      : ContentCache.key(
          'report',
          part.report,
          part.files.map(([name]) => name),
        )
  const before = key === undefined ? undefined : await kept?.cache.get<Sums>(key)
  if (before !== undefined && (await holdAll(before, folder, kept?.sums))) return before
  const made = new Map<string, string>()
  for (const [name, make] of part.files) {
    const text = make()
    made.set(name, createHash('sha256').update(text).digest('hex'))
    await folder.stage(name, text)
  }
  if (key !== undefined) await kept?.cache.put(key, made)
  return made
}

const page = (of: ShowReport, options: PageOptions) => markHtml(reportHtml(of, options), of.version)

function wholePart(report: ShowReport, split: boolean): Part {
  const [csv, json, html] = summaryFiles
  const setupPage = (setup: string) => setupPageFile(encodeURIComponent(setup))
  return {
    // The frames are on the pages of the setups.
    report: split ? withoutPictures(report) : report,
    files: [
      [csv, () => residualsCsv(report)],
      [json, () => reportJson(report)],
      [html, () => page(report, split ? { setupPage } : {})],
    ],
  }
}

const withoutPictures = (report: ShowReport): ShowReport => ({
  ...report,
  setups: report.setups.map((setup) => ({
    ...setup,
    cameras: setup.cameras.map(({ pictures, ...camera }) => camera),
  })),
})

function setupPart({ failed, ...report }: ShowReport, setup: string): Part {
  const [, , html] = summaryFiles
  const missing = failed?.filter((one) => one.setup === setup) ?? []
  const own: ShowReport = {
    ...report,
    title: `${report.title}, ${setup}`,
    setups: report.setups.filter((one) => one.setup === setup),
    inputs: report.inputs.filter((input) => input.setup === undefined || input.setup === setup),
    ...(missing.length === 0 ? {} : { failed: missing }),
  }
  return {
    report: own,
    files: [[setupPageFile(setup), () => page(own, { wholePage: `../${html}` })]],
  }
}
