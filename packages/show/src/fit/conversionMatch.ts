import {
  apply3,
  type CameraMatch,
  decodeRgb,
  type Encoding,
  type Primaries,
  primariesConversion,
  type Readings,
  rgbToXyz,
  type Target,
} from '@isochip/core'

const none = { before: 0, balanced: 0, after: 0 }

/**
 * The “match” of the camera that the others go to: no lift, no gain, and the conversion between the declared
 * primaries as matrix, so that its LUT changes the encoding and nothing else.
 */
export function conversionMatch(
  readings: Readings,
  encoding: Encoding,
  working: Primaries,
  target: Target,
  view: 'scene' | 'display',
): CameraMatch {
  const declared = primariesConversion(encoding.primaries, working)
  const patches = readings.patches.map(({ patch, rgb }) => {
    const light = apply3(declared, decodeRgb(encoding, rgb))
    const unusable = target.excluded.get(patch)
    return {
      patch,
      source: light,
      target: light,
      matched: light,
      dE00: none,
      dE76: none,
      dEItp: none,
      weight: unusable === undefined ? 1 : 0,
      ...(unusable === undefined ? {} : { excluded: unusable }),
    }
  })
  const summary = { mean: 0, p95: 0, max: 0, worst: patches[0]?.patch ?? '' }
  const luminance = rgbToXyz(working)[1]
  const through = [0, 1, 2].map((k) =>
    luminance.reduce((sum, weight, c) => sum + weight * declared[c]![k]!, 0),
  )
  const row = (r: number) => Math.hypot(...declared[r]!)
  return {
    model: { kind: 'gain', lift: [0, 0, 0], gain: [1, 1, 1], matrix: declared },
    requested: 'gain',
    declared,
    view,
    patches,
    summary: { before: summary, balanced: summary, after: summary },
    diagnosis: {
      patchesUsed: patches.filter(({ weight }) => weight > 0).length,
      parameters: 0,
      rank: 0,
      columns: 0,
      condition: 1,
      objective: 'linear',
      iterations: 0,
      converged: true,
      stopped: 'nothing to fit: the other cameras go to this one',
      noiseAmplification: {
        channels: [row(0), row(1), row(2)],
        luminance: Math.hypot(...through) / Math.hypot(...luminance),
      },
    },
    onSet: {
      exposure: 0,
      whiteBalance: { redOverGreen: 1, blueOverGreen: 1, mired: 0, tint: 0 },
      blackBalance: [0, 0, 0],
      matrix: { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 },
      primaries: (['red', 'yellow', 'green', 'cyan', 'blue', 'magenta'] as const).map((name) => ({
        name,
        hue: 0,
        saturation: 1,
      })),
    },
    warnings: [],
  }
}
