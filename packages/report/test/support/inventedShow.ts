import {
  apply3,
  builtinChart,
  type Chart,
  deltaE00,
  deltaE76,
  deltaEItp,
  type FittedMatch,
  identity3,
  inverse3,
  labOfLinear,
  type Mat3,
  multiply3,
  type PatchResult,
  resolvePrimaries,
  rgbToXyz65,
  type Summary,
  type Vec3,
} from '@isochip/core'
import type { CameraReport, FittedCamera, SetupReport, ShowReport } from '../../src/index.ts'
import { isFitted } from '../../src/showReport.ts'

const bt709 = resolvePrimaries('bt709')
const toXyz = rgbToXyz65(bt709)
const fromXyz = inverse3(toXyz)
const toLab = labOfLinear(bt709)

/** Linear BT.709 of the patches of quay48, whose reference is XYZ under D65. */
function lightOf(chart: Chart): Vec3[] {
  return chart.patches.map((patch) => apply3(fromXyz, patch.value!))
}

export interface Invented {
  readonly camera: string
  readonly setup: string
  readonly chart?: Chart
  /** Of the camera: as shot = crosstalk · (light · gain) + black. Rows of crosstalk sum to 1. */
  readonly gain?: Vec3
  readonly crosstalk?: Mat3
  readonly black?: Vec3
  /** Size of what the match leaves, as a share of the light. */
  readonly left?: number
}

function summary(patches: readonly PatchResult[], of: (patch: PatchResult) => number): Summary {
  const used = patches.filter((p) => p.excluded === undefined)
  const sorted = used.map(of).sort((a, b) => a - b)
  const at = 0.95 * (sorted.length - 1)
  const low = sorted[Math.floor(at)]!
  const high = sorted[Math.ceil(at)]!
  const worst = used.reduce((a, b) => (of(b) > of(a) ? b : a))
  return {
    mean: sorted.reduce((a, b) => a + b, 0) / sorted.length,
    p95: low + (at - Math.floor(at)) * (high - low),
    max: sorted.at(-1),
    worst: worst.patch,
  }
}

/** The result of a match, typed by hand from an invented affine camera: no fit is behind it. */
export function inventedMatch(invented: Invented): FittedMatch {
  const chart = invented.chart ?? builtinChart('quay48')
  const { gain = [1, 1, 1], black = [0, 0, 0], left = 0 } = invented
  const crosstalk: Mat3 = invented.crosstalk ?? [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ]
  const matrix = inverse3(crosstalk)
  const patches = chart.patches.map(({ name }, i): PatchResult => {
    const target = lightOf(chart)[i]!
    const shot = apply3(crosstalk, [target[0] * gain[0], target[1] * gain[1], target[2] * gain[2]])
    const source: Vec3 = [shot[0] + black[0], shot[1] + black[1], shot[2] + black[2]]
    const wave = (phase: number) => 1 + left * Math.sin(1.7 * i + phase)
    const matched: Vec3 = [target[0] * wave(0), target[1] * wave(2), target[2] * wave(4)]
    const balanced: Vec3 = [shot[0] / gain[0], shot[1] / gain[1], shot[2] / gain[2]]
    const three = (difference: (a: Vec3, b: Vec3) => number, convert: (light: Vec3) => Vec3) => ({
      before: difference(convert(source), convert(target)),
      balanced: difference(convert(balanced), convert(target)),
      after: difference(convert(matched), convert(target)),
    })
    const dE00 = three(deltaE00, toLab)
    return {
      patch: name,
      source,
      target,
      matched,
      dE00,
      dE76: three(deltaE76, toLab),
      dEITP: three(deltaEItp, (light) => apply3(toXyz, light)),
      leaveOneOut: dE00.after * 1.25,
      weight: 1,
    }
  })
  const off = (row: 0 | 1 | 2, column: 0 | 1 | 2) => matrix[row][column]
  return {
    kind: 'fitted',
    model: {
      kind: 'lift-gain-matrix',
      lift: [-black[0], -black[1], -black[2]],
      gain: [1 / gain[0], 1 / gain[1], 1 / gain[2]],
      matrix,
    },
    requested: 'auto',
    declared: multiply3(matrix, crosstalk),
    view: 'scene',
    patches,
    summary: {
      before: summary(patches, (p) => p.dE00.before),
      balanced: summary(patches, (p) => p.dE00.balanced),
      after: summary(patches, (p) => p.dE00.after),
      leaveOneOut: summary(patches, (p) => p.leaveOneOut!),
    },
    diagnosis: {
      patchesUsed: patches.length,
      parameters: 12,
      rank: 4,
      columns: 4,
      condition: 11.37,
      objective: 'perceptual',
      iterations: 6,
      converged: true,
      stopped: 'the step became smaller than its limit',
      noiseAmplification: { channels: [1.21, 1.08, 1.33], luminance: 1.05 },
      budget: {
        noise: 0.08,
        clipping: 0.02,
        unevenness: 0.17,
        curve: 0.11,
        foreign: 0,
        spectral: 0.62,
        undetermined: 0,
        limit: 'spectral',
      },
      expected: { mean: 0.87, p95: 2.34, basis: 'left-out' },
      evenness: {
        stops: 0.14,
        standardError: 0.02,
        field: chart.patches.map((_, i) => 0.07 * ((i % 8) / 3.5 - 1)),
        divided: false,
      },
    },
    onSet: {
      exposure: -Math.log2(gain[1]),
      whiteBalance: {
        redOverGreen: gain[1] / gain[0],
        blueOverGreen: gain[1] / gain[2],
        mired: 12.4 * (gain[2] - gain[0]),
        tint: 0.8,
      },
      blackBalance: [-100 * black[0], -100 * black[1], -100 * black[2]],
      matrix: { rg: off(0, 1), rb: off(0, 2), gr: off(1, 0), gb: off(1, 2), br: off(2, 0), bg: off(2, 1) },
      primaries: (['red', 'yellow', 'green', 'cyan', 'blue', 'magenta'] as const).map((name, i) => ({
        name,
        hue: 1.5 * i - 3,
        saturation: 1 + 0.03 * i,
      })),
    },
    setting: {
      turn: {
        exposure: -Math.log2(gain[1]),
        red: gain[1] / gain[0],
        blue: gain[1] / gain[2],
        matrix: { rg: off(0, 1), rb: off(0, 2), gr: off(1, 0), gb: off(1, 2), br: off(2, 0), bg: off(2, 1) },
        pedestal: [-black[0], -black[1], -black[2]],
      },
      stages: [
        { group: 'pedestal', expected: 5.2 },
        { group: 'exposure', expected: 3.4 },
        { group: 'gains', expected: 1.9 },
        { group: 'matrix', expected: 1.1 },
      ],
      now: 6.1,
      expected: 1.1,
    },
    warnings: [
      { code: 'uneven-light', message: 'the light differs by 0.14 stop across the chart, expected 0.1' },
    ],
  }
}

const bt709Full = { transfer: 'bt709', primaries: 'bt709', range: 'full' } as const

export function inventedCamera(invented: Invented): FittedCamera {
  return {
    camera: invented.camera,
    setup: invented.setup,
    sourceEncoding: bt709Full,
    outputEncoding: bt709Full,
    match: inventedMatch(invented),
    lut: {
      files: [`${invented.setup}/${invented.camera}.cube`],
      size: 33,
      interpolation: { mean: 0.012, max: 0.094 },
      integers: { worst: 16.2, share: 0.061 },
    },
  }
}

/** The camera that the others go to: it sees the light of the chart. */
export function inventedReference({ camera, setup, chart = builtinChart('quay48') }: Invented): CameraReport {
  const light = lightOf(chart)
  return {
    camera,
    setup,
    sourceEncoding: bt709Full,
    outputEncoding: bt709Full,
    match: {
      kind: 'reference',
      model: { kind: 'conversion', matrix: identity3 },
      patches: chart.patches.map(({ name }, i) => ({ patch: name, source: light[i]! })),
      warnings: [],
    },
  }
}

/** One of the cameras of a setup, which was matched. */
export function fittedCamera({ cameras }: SetupReport, camera: string): FittedCamera {
  const found = cameras.find((one) => one.camera === camera)
  if (found === undefined || !isFitted(found)) throw new Error(`${camera} was not matched`)
  return found
}

/** A warm, dark camera with crosstalk; and a cold, bright one that is matched badly. */
const warm: Omit<Invented, 'camera' | 'setup'> = {
  gain: [0.95, 0.8, 0.66],
  crosstalk: [
    [0.9, 0.08, 0.02],
    [0.05, 0.9, 0.05],
    [0.01, 0.12, 0.87],
  ],
  black: [0.004, 0.003, 0.005],
  left: 0.02,
}
const cold: Omit<Invented, 'camera' | 'setup'> = { ...warm, gain: [1, 1.1, 1.3], left: 0.16 }

/** Two setups of three cameras: `wide` is the reference camera, `cross` is within tolerance, `crane` is not. */
export function inventedShow(names: { wide?: string; cross?: string; crane?: string } = {}): ShowReport {
  const { wide = 'wide', cross = 'cross', crane = 'crane' } = names
  return {
    title: 'Harbour Kitchen',
    chart: builtinChart('quay48'),
    working: 'bt709',
    target: { camera: wide },
    tolerance: { mean: 1, max: 3 },
    view: 'scene',
    setups: ['day', 'evening'].map((setup) => ({
      setup,
      cameras: [
        inventedReference({ camera: wide, setup }),
        inventedCamera({ camera: cross, setup, ...warm }),
        inventedCamera({ camera: crane, setup, ...cold }),
      ],
    })),
    version: '0.1.0',
    inputs: [
      {
        path: 'harbour-kitchen.yaml',
        sha256: 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855',
      },
    ],
    fit: { model: 'auto' },
  }
}
