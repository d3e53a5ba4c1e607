import {
  builtinChart,
  encodeRgb,
  type FitOptions,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import type { CameraReport, ShowReport } from '../../src/index.ts'
import { fittedCamera, inventedShow } from './inventedShow.ts'

/** The invented show's camera `cross`, really fitted to the chart's reference values. */
export function realShow(options: FitOptions): ShowReport {
  const report = inventedShow()
  const chart = builtinChart('quay48')
  const working = resolvePrimaries('bt709')
  const encoding = resolveEncoding({ transfer: 'bt709', primaries: 'bt709', range: 'full' })
  const [wide] = report.setups[0]!.cameras
  const cross = fittedCamera(report.setups[0]!, 'cross')
  const patches = cross.match.patches.map(({ patch, source }, i) => ({
    patch,
    // A ripple, so that the fit leaves something.
    rgb: encodeRgb(encoding, source).map(
      (code, k) => code * (1 + 0.004 * Math.sin(7 * i + 3 * k)),
    ) as unknown as Vec3,
    sd: [0.004, 0.003, 0.005] as const,
    pixels: 900,
    clipped: 0,
  }))
  const target = targetFromReference(chart, 'D65', working)
  const match = matchCamera({ chart, readings: { patches }, encoding, target, working }, options)
  const camera: CameraReport = { ...cross, match }
  return { ...report, view: options.view ?? 'scene', setups: [{ setup: 'day', cameras: [wide!, camera] }] }
}
