import {
  type Chart,
  deltaE00,
  type Encoding,
  IsochipError,
  labOfLinear,
  type MatchInput,
  matchCamera,
  type Primaries,
  type Readings,
  type Vec3,
} from '@isochip/core'

/** What has changed at a camera since its match was made, as its chart shows it. */
export interface Drift {
  /** Stops; positive: brighter than then. */
  readonly exposure: number
  /** White balance now over then: red and blue against green; positive mired: warmer than then. */
  readonly whiteBalance: {
    readonly redOverGreen: number
    readonly blueOverGreen: number
    readonly mired: number
    readonly tint: number
  }
  /** Change of black per channel, in percent of a diffuse white; positive: lifted. */
  readonly black: Vec3
  /**
   * Mean ΔE00 between now and then, and what is left of it when exposure, white balance, black and colour (matrix)
   * are taken out one after the other. The step that brings it down most is what changed; what is left at the end is
   * noise, unevenness, or another light.
   */
  readonly dE00: {
    readonly whole: number
    readonly withoutExposure: number
    readonly withoutWhiteBalance: number
    readonly withoutBlack: number
    readonly withoutColour: number
  }
}

/**
 * Compares a chart as a camera sees it now with the light of its patches when the match was made.
 *
 * @param then linear light of the patches, as shot, in the working primaries (`source` of a match file)
 * @returns undefined where too few patches serve to tell
 */
export function drift(
  chart: Chart,
  readings: Readings,
  encoding: Encoding,
  working: Primaries,
  then: ReadonlyMap<string, Vec3>,
): Drift | undefined {
  const target = { light: then, standardError: new Map(), excluded: new Map(), warnings: [] }
  const input: MatchInput = { chart, readings, encoding, target, working }
  const fit = (model: 'gain' | 'lift-gain' | 'lift-gain-matrix') =>
    matchCamera(input, { model, evenness: 'off', robust: false })
  try {
    const [gain, liftGain, whole] = [fit('gain'), fit('lift-gain'), fit('lift-gain-matrix')]
    const { exposure, whiteBalance } = gain.onSet
    const factor = 2 ** exposure
    const lab = labOfLinear(working)
    const used = gain.patches.filter(({ excluded }) => excluded === undefined)
    const levelled = used.map(({ source, target: was }) =>
      deltaE00(lab([source[0] * factor, source[1] * factor, source[2] * factor]), lab(was)),
    )
    // What would take the camera back, turned round: what has happened to it.
    const back = ({ lift, gain: g }: { lift: Vec3; gain: Vec3 }): Vec3 => [
      -100 * lift[0] * g[0],
      -100 * lift[1] * g[1],
      -100 * lift[2] * g[2],
    ]
    return {
      exposure: -exposure,
      whiteBalance: {
        redOverGreen: 1 / whiteBalance.redOverGreen,
        blueOverGreen: 1 / whiteBalance.blueOverGreen,
        mired: -whiteBalance.mired,
        tint: -whiteBalance.tint,
      },
      black: back(liftGain.model),
      dE00: {
        whole: gain.summary.before.mean,
        withoutExposure: levelled.reduce((sum, value) => sum + value, 0) / levelled.length,
        withoutWhiteBalance: gain.summary.after.mean,
        withoutBlack: liftGain.summary.after.mean,
        withoutColour: whole.summary.after.mean,
      },
    }
  } catch (error) {
    if (!(error instanceof IsochipError)) throw error
    // Readings of which nothing can be fitted are told of where they are compared with the target.
    return undefined
  }
}
