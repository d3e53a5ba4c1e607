import type { SetupMatch, SetupReadings, ShowPlan } from '@isochip/show'
import { matchReadings } from '@isochip/show'

/** The match of one camera in one setup, worked out with no more of the others than it needs; undefined where there is none. */
export function matchOf(
  plan: ShowPlan,
  readings: readonly SetupReadings[],
  camera: string,
  setup: string,
): SetupMatch | undefined {
  const { target } = plan.show
  const targetCamera = 'camera' in target ? target.camera : undefined
  const needed = readings.filter(
    (one) =>
      one.setup === setup && ('consensus' in target || one.camera === camera || one.camera === targetCamera),
  )
  return matchReadings(plan, needed).matches.find((match) => match.camera === camera)
}
