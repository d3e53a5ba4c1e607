import type { IsochipError } from '@isochip/core'
import type { ShowPlan } from '../load/planShow.ts'
import type { Show } from '../showFile/show.ts'
import {
  borrowMatch,
  matchSetup,
  type SetupMatch,
  type SetupReadings,
  type SetupResult,
} from './matchSetup.ts'

/** The setups of a show, in the order in which they first occur. */
export function setupNames(show: Show): readonly string[] {
  return [...new Set(show.cameras.flatMap(({ shots }) => shots.map(({ setup }) => setup)))]
}

/** Number of shots that have a chart to be read, in one setup or in all. */
export function chartedShots(show: Show, setup?: string): number {
  return show.cameras
    .flatMap(({ shots }) => shots)
    .filter((shot) => shot.kind !== 'borrowed' && (setup === undefined || shot.setup === setup)).length
}

/**
 * Matches a whole show from readings at hand. Pure: no file is opened, so it also runs in a browser.
 *
 * @param readings one entry a camera and setup that shot a chart
 */
export function matchReadings(plan: ShowPlan, readings: readonly SetupReadings[]): SetupResult {
  const results = setupNames(plan.show).flatMap((setup) => {
    const shots = readings.filter((one) => one.setup === setup)
    return shots.length === 0 ? [] : [matchSetup(plan, setup, shots)]
  })
  const matches = results.flatMap((result) => result.matches)
  const failures: IsochipError[] = results.flatMap((result) => result.failures)
  return { matches: withBorrowed(plan.show, matches), failures }
}

/** All matches of a show in its order, with the borrowed ones. What has no lender (it failed) is left out. */
export function withBorrowed(show: Show, matches: readonly SetupMatch[]): readonly SetupMatch[] {
  return setupNames(show).flatMap((setup) =>
    show.cameras.flatMap((camera): SetupMatch[] => {
      const shot = camera.shots.find((one) => one.setup === setup)
      if (shot === undefined) return []
      const from = shot.kind === 'borrowed' ? shot.borrow : setup
      const match = matches.find((one) => one.camera === camera.id && one.setup === from)
      if (match === undefined) return []
      return [shot.kind === 'borrowed' ? borrowMatch(match, setup) : match]
    }),
  )
}
