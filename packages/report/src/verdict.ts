import { given, type ResidualBudget } from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import type { verdict as shape } from './data/reportShape.ts'
import { doubtsOf } from './doubts.ts'
import {
  type CameraReport,
  type FittedCamera,
  isFitted,
  type ShowReport,
  type Tolerance,
} from './showReport.ts'

/** The one thing that holds a match back most. */
export type Limit = ResidualBudget['limit']

export interface Verdict extends Shape<typeof shape> {}

/** Is one camera's match within tolerance, is that to be believed, and what limits it? */
export function verdict(camera: CameraReport, tolerance: Tolerance): Verdict {
  if (!isFitted(camera)) return { state: 'reference', exceeded: [], doubts: [] }
  const { after } = camera.match.summary
  const { budget } = camera.match.diagnosis
  // Written so that a figure that is not a number counts as exceeded.
  const exceeded = (['mean', 'max'] as const).filter((key) => !(after[key] <= tolerance[key]))
  const doubts = doubtsOf(camera, tolerance)
  return {
    state: exceeded.length > 0 ? 'out' : doubts.length > 0 ? 'doubtful' : 'within',
    exceeded,
    doubts,
    ...given({ limit: budget?.limit }),
  }
}

export interface ShowVerdict {
  /** True when no match is out of tolerance. Those in doubt are within by their figures. */
  readonly within: boolean
  /** Matches judged: cameras × setups without the reference camera; a borrowed one too, which is doubtful at best. */
  readonly judged: number
  readonly out: readonly FittedCamera[]
  /** Within tolerance by their figures, which are in doubt. */
  readonly doubtful: readonly FittedCamera[]
  /** Matches that could not be made. They are not judged: `within` says nothing of them. */
  readonly failed: number
}

export function showVerdict(report: ShowReport): ShowVerdict {
  const cameras = report.setups.flatMap((setup) => setup.cameras).filter(isFitted)
  const states = cameras.map((camera) => verdict(camera, report.tolerance).state)
  const out = cameras.filter((_, i) => states[i] === 'out')
  return {
    within: out.length === 0,
    judged: cameras.length,
    out,
    doubtful: cameras.filter((_, i) => states[i] === 'doubtful'),
    failed: report.failed?.length ?? 0,
  }
}

/** The worst that there is to say of a show, as a state. */
export function showState({ within, doubtful, failed }: ShowVerdict): Exclude<Verdict['state'], 'reference'> {
  if (!within || failed > 0) return 'out'
  return doubtful.length > 0 ? 'doubtful' : 'within'
}
