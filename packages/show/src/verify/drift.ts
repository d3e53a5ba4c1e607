import {
  apply3,
  applyModel,
  type Chart,
  type Controls,
  deltaE00,
  type FitOptions,
  type FittedMatch,
  given,
  inverse3,
  isIsochipError,
  labOfView,
  type MatchInput,
  matchCamera,
  patchLights,
  primariesConversion,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  settingBack,
  type Target,
  type Vec3,
} from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import type { MatchFile } from '../matchFile/matchFile.ts'
import { kelvinAfter } from './kelvinAfter.ts'
import type { drift as driftShape } from './verificationShape.ts'

export interface Drift extends Shape<typeof driftShape> {}

/** What the show says of the camera besides. */
interface DriftCamera {
  /** Was the curve of the encoding measured on the chart? */
  readonly measured?: boolean
  readonly controls?: Controls
}

/** Daylight and tungsten as sets are lit by them: common practice, no source. */
const usualLights = [5600, 3200] as const

/**
 * What takes the chart of now back to that of then, all at once: exposure and white balance are what has become of
 * white, black is what has become of no light, and colour is the rest that a matrix knows. Fitted one after the other,
 * each would take up some of the next.
 *
 * @param readings of now, in the encoding of the match
 * @returns undefined where too few patches serve to tell
 */
export function drift(
  chart: Chart,
  readings: Readings,
  {
    model,
    sourceEncoding,
    working: workingSpec,
    patches,
  }: Pick<MatchFile, 'model' | 'sourceEncoding' | 'working' | 'patches'>,
  { view = 'scene', weights, clippedShare }: FitOptions = {},
  { measured = false, controls }: DriftCamera = {},
): Drift | undefined {
  const working = resolvePrimaries(workingSpec)
  const source = resolveEncoding(sourceEncoding)
  const toCamera = inverse3(primariesConversion(source.primaries, working))
  const past = new Map(
    patches
      .filter(({ excluded }) => excluded === undefined)
      .map((one) => [one.patch, applyModel(model, apply3(toCamera, one.source))]),
  )
  const now = patchLights(chart, readings, source, clippedShare)
    .filter(({ unusable, patch }) => unusable === undefined && past.has(patch))
    .map(({ patch, light }) => ({ patch, rgb: applyModel(model, light) }))
  const back = wayBack(
    {
      chart,
      readings: { patches: now },
      encoding: resolveEncoding({ transfer: 'linear', primaries: workingSpec }),
      target: targetOf(past),
      working,
    },
    { view, evenness: 'off', ...given({ weights }) },
  )
  if (back === undefined) return undefined
  const { lift, gain } = back.model
  const { exposure, whiteBalance } = back.onSet
  const lab = labOfView(working, view)
  const used = back.patches.filter(({ excluded }) => excluded === undefined)
  /** Mean ΔE00 to the patches of then, of what is made of those of now. */
  const left = (undo: (light: Vec3) => Vec3) =>
    used.reduce((sum, one) => sum + deltaE00(lab(undo(one.source)), lab(one.target)), 0) / used.length
  const scaled = (by: Vec3, [r, g, b]: Vec3): Vec3 => [by[0] * r, by[1] * g, by[2] * b]
  const mired = -whiteBalance.mired
  return {
    exposure: -exposure,
    whiteBalance: {
      redOverGreen: 1 / whiteBalance.redOverGreen,
      blueOverGreen: 1 / whiteBalance.blueOverGreen,
      mired,
      tint: -whiteBalance.tint,
      kelvin: usualLights.map((was) => ({ was, now: kelvinAfter(was, mired) })),
    },
    // What would take the camera back, turned round: what has happened to it.
    black: [-100 * lift[0] * gain[0], -100 * lift[1] * gain[1], -100 * lift[2] * gain[2]],
    dE00: {
      whole: left((light) => light),
      withoutExposure: left((light) => scaled([gain[1], gain[1], gain[1]], light)),
      withoutWhiteBalance: left((light) => scaled(gain, light)),
      withoutBlack: left(([r, g, b]) => scaled(gain, [r + lift[0], g + lift[1], b + lift[2]])),
      withoutColour: left((light) => applyModel(back.model, light)),
    },
    range: source.range,
    ...(measured
      ? {}
      : {
          // The camera's own light: the match after it stays as it is.
          setting: settingBack(
            {
              chart,
              readings,
              encoding: source,
              target: targetOf(new Map(patches.map(({ patch, source: light }) => [patch, light]))),
              working,
            },
            { declared: primariesConversion(source.primaries, working), view, patches: back.patches },
            given({ clippedShare, controls }),
          ),
        }),
  }
}

const targetOf = (light: ReadonlyMap<string, Vec3>): Target => ({
  light,
  standardError: new Map(),
  excluded: new Map(),
  warnings: [],
})

/** The fullest of the linear kinds that the patches carry. */
function wayBack(input: MatchInput, options: FitOptions): FittedMatch | undefined {
  for (const model of ['lift-gain-matrix', 'lift-gain', 'gain'] as const) {
    try {
      return matchCamera(input, { ...options, model })
    } catch (error) {
      // Readings of which nothing can be fitted are told of where they are compared with the target.
      if (!isIsochipError(error)) throw error
    }
  }
  return undefined
}
