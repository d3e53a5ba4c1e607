import type { CameraMatch, Stages, Summary, Vec3, Warning } from '@isochip/core'
import { figure } from '../digits.ts'
import { cameraPairs } from '../pairs.ts'
import { setupChanges } from '../setupChanges.ts'
import type { CameraReport, ShowReport } from '../showReport.ts'
import { checkLevels } from '../signal/levels.ts'
import { showVerdict, verdict } from '../verdict.ts'

const three = (v: Vec3) => v.map(figure)

const stages = ({ before, balanced, after }: Stages) => ({
  before: figure(before),
  balanced: figure(balanced),
  after: figure(after),
})

const summary = ({ mean, p95, max, worst }: Summary) => ({
  mean: figure(mean),
  p95: figure(p95),
  max: figure(max),
  worst,
})

/** Numbers anywhere inside, rounded; what is undefined is left out by JSON itself. */
function rounded(value: unknown): unknown {
  if (typeof value === 'number') return figure(value)
  if (Array.isArray(value)) return value.map(rounded)
  if (typeof value === 'object' && value !== null) {
    return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, rounded(inner)]))
  }
  return value
}

const warning = ({ code, message, place }: Warning) => ({ code, message, ...(place && { place }) })

function matchData(match: CameraMatch) {
  const {
    model,
    requested,
    patches,
    summary: figures,
    curve,
    encodingDoubt,
    diagnosis,
    onSet,
    warnings,
  } = match
  return {
    requested,
    model: rounded(model),
    summary: {
      before: summary(figures.before),
      balanced: summary(figures.balanced),
      after: summary(figures.after),
      ...(figures.leaveOneOut && { leaveOneOut: summary(figures.leaveOneOut) }),
    },
    patches: patches.map((p) => ({
      patch: p.patch,
      source: three(p.source),
      target: three(p.target),
      matched: three(p.matched),
      dE00: stages(p.dE00),
      dE76: stages(p.dE76),
      dEITP: stages(p.dEItp),
      ...(p.leaveOneOut !== undefined && { leaveOneOut: figure(p.leaveOneOut) }),
      weight: figure(p.weight),
      ...(p.excluded !== undefined && { excluded: p.excluded }),
    })),
    ...(curve && { curve: rounded(curve) }),
    ...(encodingDoubt && { encodingDoubt: rounded(encodingDoubt) }),
    diagnosis: rounded(diagnosis),
    onSet: rounded(onSet),
    warnings: warnings.map(warning),
  }
}

function cameraData(camera: CameraReport, report: ShowReport) {
  const { lut } = camera
  const levels = checkLevels(camera, report.working)
  return {
    camera: camera.camera,
    isTarget: camera.isTarget,
    ...(camera.borrowed !== undefined && { borrowed: camera.borrowed }),
    verdict: verdict(camera, report.tolerance),
    sourceEncoding: camera.sourceEncoding,
    outputEncoding: camera.outputEncoding,
    levels: {
      low: figure(levels.low),
      high: figure(levels.high),
      luma: { low: figure(levels.luma.low), high: figure(levels.luma.high) },
      outside: levels.outside,
    },
    ...(lut && {
      lut: {
        files: lut.files,
        ...(lut.size !== undefined && { size: lut.size }),
        ...(lut.interpolation && {
          interpolation: { mean: figure(lut.interpolation.mean), max: figure(lut.interpolation.max) },
        }),
        ...(lut.integers && {
          integers: { worst: figure(lut.integers.worst), share: figure(lut.integers.share) },
        }),
      },
    }),
    ...matchData(camera.match),
  }
}

/**
 * The whole report without its pictures, as `reportSchema` describes it. Colour differences are ΔE, light is linear
 * in the working primaries, seven significant digits; a figure that does not exist is null. Same input, same bytes.
 */
export function reportJson(report: ShowReport): string {
  const judged = showVerdict(report)
  const document = {
    isochip: 'report/2',
    version: report.version,
    title: report.title,
    chart: report.chart.id,
    working: report.working,
    // Linear light, in the primaries of the field that is named.
    spaces: {
      model: { from: 'sourceEncoding', to: 'working' },
      patches: { source: 'working', target: 'working', matched: 'working' },
    },
    target: report.target,
    tolerance: report.tolerance,
    view: report.view,
    ...(report.fit && { fit: report.fit }),
    verdict: {
      within: judged.within,
      judged: judged.judged,
      out: judged.out.length,
      doubtful: judged.doubtful.length,
    },
    setups: report.setups.map((setup) => ({
      setup: setup.setup,
      cameras: setup.cameras.map((camera) => cameraData(camera, report)),
      pairs: cameraPairs(setup, report).map((pair) => rounded(pair)),
    })),
    ...(report.failed && { failed: report.failed }),
    changes: setupChanges(report).map(rounded),
    inputs: report.inputs,
  }
  return `${JSON.stringify(document, null, 2)}\n`
}
