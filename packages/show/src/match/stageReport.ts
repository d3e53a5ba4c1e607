import { type PageOptions, reportHtml, reportJson, residualsCsv, type ShowReport } from '@isochip/report'
import { markHtml } from '../files/ownMark.ts'
import { ocioConfig, ocioConfigFile, ocioLight, ocioLightFile } from '../lut/ocioConfig.ts'
import type { Step } from '../memo/memo.ts'
import type { Show } from '../showFile/show.ts'
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

type ReportContext = Pick<FinishContext, 'plan' | 'folder' | 'memo' | 'sums'>
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
  const sums = [await stagePart(wholePart(report, pages !== undefined, context.plan.show), context)]
  if (pages !== undefined)
    for (const { setup } of report.setups)
      sums.push(pages.get(setup) ?? (await stageSetupPage(report, setup, context)))
  return new Map(sums.flatMap((of) => [...of]))
}

/** Stages the page of one of the setups of a report. */
export const stageSetupPage = (report: ShowReport, setup: string, context: ReportContext): Promise<Sums> =>
  stagePart(setupPart(report, setup), context)

const reportStep: Step<Sums> = {
  name: 'report',
  schema: async () => (await import('../memo/keptSchemas.ts')).keptReport,
}

async function stagePart(
  { report, files }: Part,
  { folder, memo, sums: known }: ReportContext,
): Promise<Sums> {
  if (folder === undefined) return new Map()
  const inputs = { report, files: files.map(([name]) => name) }
  const make = async () => {
    const made = new Map<string, string>()
    for (const [name, text] of files) made.set(name, await folder.stage(name, text()))
    return made
  }
  const { value } = await memo.memo(reportStep, inputs, make, (sums) => holdAll(sums, folder, known))
  return value
}

const page = (of: ShowReport, options: PageOptions) => markHtml(reportHtml(of, options), of.version)

function wholePart(report: ShowReport, split: boolean, show: Show): Part {
  const [csv, json, html] = summaryFiles
  const setupPage = (setup: string) => setupPageFile(encodeURIComponent(setup))
  return {
    // The frames are on the pages of the setups.
    report: split ? withoutPictures(report) : report,
    files: [
      ...(show.output.formats.includes('ocio')
        ? ([
            [ocioLightFile, () => ocioLight(report)],
            [ocioConfigFile, () => ocioConfig(report)],
          ] as const)
        : []),
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
