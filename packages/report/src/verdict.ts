import type { ResidualBudget } from '@isochip/core'
import { type Doubt, doubtsOf } from './doubts.ts'
import type { CameraReport, ShowReport, Tolerance } from './showReport.ts'

/** The one thing that holds a match back most. */
export type Limit = ResidualBudget['limit']

export interface Verdict {
  /**
   * `target`: the reference camera, nothing to judge. `doubtful`: the figures are within tolerance, but there
   * is a reason not to believe them. `out`: they are not within.
   */
  readonly state: 'target' | 'within' | 'doubtful' | 'out'
  /** Which limits are exceeded. Equal to the limit is within. */
  readonly exceeded: readonly (keyof Tolerance)[]
  /** Why the figures are in doubt, whether they are within tolerance or not. */
  readonly doubts: readonly Doubt[]
  /** What the residual is made of most. Absent where the fit could not tell. */
  readonly limit?: Limit
}

/** Is one camera's match within tolerance, is that to be believed, and what limits it? */
export function verdict(camera: CameraReport, tolerance: Tolerance): Verdict {
  if (camera.isTarget) return { state: 'target', exceeded: [], doubts: [] }
  const { after } = camera.match.summary
  const { budget } = camera.match.diagnosis
  // Written so that a figure that is not a number counts as exceeded.
  const exceeded = (['mean', 'max'] as const).filter((key) => !(after[key] <= tolerance[key]))
  const doubts = doubtsOf(camera, tolerance)
  return {
    state: exceeded.length > 0 ? 'out' : doubts.length > 0 ? 'doubtful' : 'within',
    exceeded,
    doubts,
    ...(budget === undefined ? {} : { limit: budget.limit }),
  }
}

export interface ShowVerdict {
  /** True when no match is out of tolerance. Those in doubt are within by their figures. */
  readonly within: boolean
  /** Matches judged: cameras × setups without the target. */
  readonly judged: number
  readonly out: readonly CameraReport[]
  /** Within tolerance by their figures, which are in doubt. */
  readonly doubtful: readonly CameraReport[]
  /** Matches that could not be made. They are not judged: `within` says nothing of them. */
  readonly failed: number
}

export function showVerdict(report: ShowReport): ShowVerdict {
  const cameras = report.setups.flatMap((setup) => setup.cameras)
  const states = cameras.map((camera) => verdict(camera, report.tolerance).state)
  const out = cameras.filter((_, i) => states[i] === 'out')
  return {
    within: out.length === 0,
    judged: states.filter((state) => state !== 'target').length,
    out,
    doubtful: cameras.filter((_, i) => states[i] === 'doubtful'),
    failed: report.failed?.length ?? 0,
  }
}

/** The worst that there is to say of a show, as a state. */
export function showState({ within, doubtful, failed }: ShowVerdict): Exclude<Verdict['state'], 'target'> {
  if (!within || failed > 0) return 'out'
  return doubtful.length > 0 ? 'doubtful' : 'within'
}
