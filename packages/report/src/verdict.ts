import type { ResidualBudget } from '@isochip/core'
import type { CameraReport, ShowReport, Tolerance } from './showReport.ts'

/** The one thing that holds a match back most. */
export type Limit = ResidualBudget['limit']

export interface Verdict {
  /** `target`: the others go to it, there is nothing to judge. */
  readonly state: 'target' | 'within' | 'outside'
  /** Which limits are exceeded. Equal to the limit is within. */
  readonly exceeded: readonly (keyof Tolerance)[]
  /** What the residual is made of most. Absent where the fit could not tell. */
  readonly limit?: Limit
}

/** Is one camera's match within tolerance, and what limits it? */
export function verdict(camera: CameraReport, tolerance: Tolerance): Verdict {
  if (camera.isTarget) return { state: 'target', exceeded: [] }
  const { after } = camera.match.summary
  const { budget } = camera.match.diagnosis
  // Written so that a figure that is not a number counts as exceeded.
  const exceeded = (['mean', 'max'] as const).filter((key) => !(after[key] <= tolerance[key]))
  return {
    state: exceeded.length === 0 ? 'within' : 'outside',
    exceeded,
    ...(budget === undefined ? {} : { limit: budget.limit }),
  }
}

export interface ShowVerdict {
  /** True when no match is out of tolerance. */
  readonly within: boolean
  /** Matches judged: cameras × setups without the target. */
  readonly judged: number
  readonly outside: readonly CameraReport[]
  /** Matches that could not be made. They are not judged: `within` says nothing of them. */
  readonly failed: number
}

export function showVerdict(report: ShowReport): ShowVerdict {
  const cameras = report.setups.flatMap((setup) => setup.cameras)
  const states = cameras.map((camera) => verdict(camera, report.tolerance).state)
  const outside = cameras.filter((_, i) => states[i] === 'outside')
  return {
    within: outside.length === 0,
    judged: states.filter((state) => state !== 'target').length,
    outside,
    failed: report.failed?.length ?? 0,
  }
}
