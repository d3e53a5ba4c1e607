import { createHash } from 'node:crypto'
import { type PageOptions, reportHtml, reportJson, residualsCsv, type ShowReport } from '@isochip/report'
import { ContentCache } from '../files/contentCache.ts'
import { markHtml } from '../files/ownMark.ts'
import { type FinishContext, holdAll } from './finishMatch.ts'

/** With more matches than this one page would be too much, to open and to find something in: each setup has its own. */
const mostOnOnePage = 32

export const summaryFiles = ['residuals.csv', 'report.json', 'report.html'] as const
export const setupPageFile = (setup: string) => `${setup}/report.html`

/** Has each setup of such a show a page of its own? */
export const hasSetupPages = (matches: number): boolean => matches > mostOnOnePage

/** Files that are made together, from one thing. */
interface Part {
  readonly report: ShowReport
  readonly files: readonly (readonly [name: string, make: () => string])[]
}

/**
 * Stages the files about the show as a whole, and the pages of its setups where it is a large one; those that are there
 * already stay. Returns their checksums.
 */
export async function stageReport(
  report: ShowReport,
  { folder, kept }: Pick<FinishContext, 'folder' | 'kept'>,
): Promise<ReadonlyMap<string, string>> {
  const sums = new Map<string, string>()
  if (folder === undefined) return sums
  for (const part of parts(report)) {
    const key =
      kept === undefined
        ? undefined
        : ContentCache.key(
            'report',
            part.report,
            part.files.map(([name]) => name),
          )
    const before = key === undefined ? undefined : await kept?.cache.get<ReadonlyMap<string, string>>(key)
    if (before !== undefined && (await holdAll(before, folder, kept?.sums))) {
      for (const [name, sum] of before) sums.set(name, sum)
      continue
    }
    const made = new Map<string, string>()
    for (const [name, make] of part.files) {
      const text = make()
      made.set(name, createHash('sha256').update(text).digest('hex'))
      await folder.stage(name, text)
    }
    if (key !== undefined) await kept?.cache.put(key, made)
    for (const [name, sum] of made) sums.set(name, sum)
  }
  return sums
}

function parts(report: ShowReport): Part[] {
  const [csv, json, html] = summaryFiles
  const page = (of: ShowReport, options: PageOptions) => markHtml(reportHtml(of, options), of.version)
  const matches = report.setups.reduce((sum, { cameras }) => sum + cameras.length, 0)
  const split = hasSetupPages(matches)
  const setupPage = (setup: string) => setupPageFile(encodeURIComponent(setup))
  const whole: Part = {
    report,
    files: [
      [csv, () => residualsCsv(report)],
      [json, () => reportJson(report)],
      [html, () => page(report, split ? { setupPage } : {})],
    ],
  }
  if (!split) return [whole]
  return [
    whole,
    ...report.setups.map((setup): Part => {
      const own: ShowReport = {
        ...report,
        title: `${report.title}, ${setup.setup}`,
        setups: [setup],
        inputs: report.inputs.filter((input) => input.setup === undefined || input.setup === setup.setup),
        ...(report.failed === undefined
          ? {}
          : { failed: report.failed.filter((one) => one.setup === setup.setup) }),
      }
      return {
        report: own,
        files: [[setupPageFile(setup.setup), () => page(own, { wholePage: `../${html}` })]],
      }
    }),
  ]
}
