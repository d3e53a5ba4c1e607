import type { Mat3 } from '@isochip/core'
import type { ResponseMapReport, ResponseReport } from '../../src/index.ts'

/** A map whose terms are told apart by their digits: row, then column. */
function map(from: string, to: string, mean: number): ResponseMapReport {
  const matrix: Mat3 = [
    [1.11, 0.12, -0.13],
    [-0.21, 1.22, 0.23],
    [0.31, -0.32, 1.33],
  ]
  return {
    from,
    to,
    patches: 24,
    matrix,
    interval: matrix.map((row) => row.map((value) => [value - 0.04, value + 0.02] as const)),
    rank: 3,
    condition: 5.25,
    noiseAmplification: [1.1, 1.2, 1.3],
    remaining: { mean, p95: 2 * mean, max: 3 * mean, worst: 'blue' },
  }
}

/** Two cameras and the observer, compared: typed by hand, nothing is behind it. */
export function inventedResponses(
  names: { readonly wide?: string; readonly cross?: string } = {},
): ResponseReport {
  const { wide = 'wide', cross = 'cross' } = names
  const observer = (camera: string, mean: number) => ({
    camera,
    toObserver: map(camera, 'observer', mean),
    fromObserver: map('observer', camera, mean + 0.1),
    principalAngles: [1, 2, 6],
  })
  return {
    title: 'Harbour Kitchen',
    chart: 'chart24',
    setups: [
      {
        setup: 'day',
        maps: [map(wide, cross, 0.5), map(cross, wide, 0.25)],
        pairs: [{ a: wide, b: cross, principalAngles: [0.5, 1.5, 2.5] }],
        observer: [observer(wide, 1), observer(cross, 2)],
        metamerism: { [wide]: { index: 87.94, meanDE76: 2.19, maxDE76: 4.96, patches: 18 } },
        cautions: ['pole is left out'],
      },
    ],
    assumptions: ['the patches of this chart'],
    failures: [{ code: 'frame-unreadable', message: 'no picture', place: { camera: 'rail', setup: 'day' } }],
  }
}
