import type { Shape } from '@isochip/core/shapes'
import { figure } from '../digits.ts'
import { cameraPairs } from '../pairs.ts'
import { setupChanges } from '../setupChanges.ts'
import type { CameraReport, ShowReport } from '../showReport.ts'
import { checkLevels } from '../signal/levels.ts'
import { showVerdict, verdict } from '../verdict.ts'
import type { reportFile } from './reportShape.ts'

/** What stands in `report.json`. */
export interface ReportFile extends Shape<typeof reportFile> {}

type CameraEntry = ReportFile['setups'][number]['cameras'][number]

/** The same with every number in it rounded. What is not a number becomes null when it is written. */
function rounded<T>(value: T): T
function rounded(value: unknown): unknown {
  if (typeof value === 'number') return figure(value) ?? Number.NaN
  if (Array.isArray(value)) return value.map(rounded)
  if (typeof value === 'object' && value !== null)
    return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, rounded(inner)]))
  return value
}

function cameraEntry(camera: CameraReport, report: ShowReport): CameraEntry {
  const { match, lut, borrowed } = camera
  const common = {
    camera: camera.camera,
    ...(borrowed === undefined ? {} : { borrowed }),
    verdict: verdict(camera, report.tolerance),
    sourceEncoding: camera.sourceEncoding,
    outputEncoding: camera.outputEncoding,
    levels: rounded(checkLevels(camera, report.working)),
    ...(lut === undefined ? {} : { lut: rounded(lut) }),
  }
  if (match.kind === 'reference') {
    const { kind, ...rest } = match
    return { kind, ...common, ...rounded(rest) }
  }
  const { kind, declared: _, view: __, ...rest } = match
  return { kind, ...common, ...rounded(rest) }
}

/**
 * The whole report without its pictures, as `reportFile` of `@isochip/report/shapes` describes it. Colour differences are
 * ΔE, light is linear in the working primaries, seven significant digits; a figure that does not exist is null. Same
 * input, same bytes.
 */
export function reportJson(report: ShowReport): string {
  const judged = showVerdict(report)
  const document: ReportFile = {
    isochip: 'report/3',
    version: report.version,
    title: report.title,
    chart: report.chart.id,
    working: report.working,
    spaces: {
      model: { from: 'sourceEncoding', to: 'working' },
      patches: { source: 'working', target: 'working', matched: 'working' },
    },
    target: report.target,
    tolerance: report.tolerance,
    view: report.view,
    ...(report.fit === undefined ? {} : { fit: report.fit }),
    verdict: {
      within: judged.within,
      judged: judged.judged,
      out: judged.out.length,
      doubtful: judged.doubtful.length,
    },
    setups: report.setups.map((setup) => ({
      setup: setup.setup,
      cameras: setup.cameras.map((camera) => cameraEntry(camera, report)),
      pairs: rounded(cameraPairs(setup, report)),
    })),
    ...(report.failed === undefined ? {} : { failed: report.failed }),
    changes: rounded(setupChanges(report)),
    ...(report.lineUp === undefined ? {} : { lineUp: rounded(report.lineUp) }),
    inputs: report.inputs,
  }
  return `${JSON.stringify(document, null, 2)}\n`
}
