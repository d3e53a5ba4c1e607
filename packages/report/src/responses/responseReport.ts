import type { Shape } from '@isochip/core/shapes'
import type { comparisonFile, fault } from './comparisonShape.ts'

/** What stands in `compare.json`. */
export interface ComparisonFile extends Shape<typeof comparisonFile> {}

export interface Fault extends Shape<typeof fault> {}

/** Responses compared, setup by setup: what `compareShow` of `@isochip/show/node` returns. */
export interface ResponseReport extends Omit<ComparisonFile, 'isochip' | 'failures'> {
  /** Cameras that could not be read, and why. */
  readonly failures: readonly Pick<Fault, 'code' | 'message' | 'place'>[]
}

/** How the cameras of a setup respond, against each other and against the standard observer. */
export interface SetupResponses extends Shape<(typeof comparisonFile)['shape']['setups']['element']> {}

/** The matrix from one set of responses to another: linear light, each camera in its own primaries, the observer in XYZ. */
export type ResponseMapReport = SetupResponses['maps'][number]

/** All maps of a setup: cameras among each other, then each to the observer and back, with the angles between them. */
export function allMaps({
  maps,
  pairs,
  observer,
}: SetupResponses): { readonly map: ResponseMapReport; readonly angles: readonly number[] }[] {
  const between = (map: ResponseMapReport) =>
    pairs.find(({ a, b }) => (a === map.from && b === map.to) || (a === map.to && b === map.from))
      ?.principalAngles ?? []
  return [
    ...maps.map((map) => ({ map, angles: between(map) })),
    ...observer.flatMap(({ toObserver, fromObserver, principalAngles: angles }) => [
      { map: toObserver, angles },
      { map: fromObserver, angles },
    ]),
  ]
}
