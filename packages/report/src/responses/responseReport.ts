import type { Mat3, Vec3 } from '@isochip/core'

/** The matrix from one set of responses to another: linear light, each camera in its own primaries, the observer in XYZ. */
export interface ResponseMapReport {
  readonly from: string
  readonly to: string
  readonly patches: number
  readonly matrix: Mat3
  /** 95 % of each term: low, high. */
  readonly interval: readonly (readonly (readonly [low: number, high: number])[])[]
  readonly rank: number
  readonly condition: number
  readonly noiseAmplification: Vec3
  /** ΔE00 that is left by the linear map with the least of it. */
  readonly remaining: {
    readonly mean: number
    readonly p95: number
    readonly max: number
    readonly worst: string
  }
}

/** How the cameras of a setup respond, against each other and against the standard observer. */
export interface SetupResponses {
  readonly setup: string
  /** Both ways for each pair of cameras. */
  readonly maps: readonly ResponseMapReport[]
  /** Degrees, from the smallest. */
  readonly pairs: readonly {
    readonly a: string
    readonly b: string
    readonly principalAngles: readonly number[]
  }[]
  /** Empty where nothing is known of what the observer sees. */
  readonly observer: readonly {
    readonly camera: string
    readonly toObserver: ResponseMapReport
    readonly fromObserver: ResponseMapReport
    readonly principalAngles: readonly number[]
  }[]
  /** By camera. */
  readonly metamerism: Readonly<
    Record<
      string,
      {
        readonly index: number
        readonly meanDE76: number
        readonly maxDE76: number
        readonly patches: number
      }
    >
  >
  readonly cautions: readonly string[]
}

/** Responses compared, setup by setup: what `compareShow` of `@isochip/show/node` returns. */
export interface ResponseReport {
  readonly title: string
  /** Of the chart. */
  readonly chart: string
  readonly setups: readonly SetupResponses[]
  /** On what the metamerism index rests. */
  readonly assumptions: readonly string[]
  /** Cameras that could not be read, and why. */
  readonly failures: readonly {
    readonly code: string
    readonly message: string
    readonly place: { readonly camera?: string; readonly setup?: string }
  }[]
}

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
