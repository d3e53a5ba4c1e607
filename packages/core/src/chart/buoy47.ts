import { xyzFromLinear65 } from '../colour/working.ts'
import { cos } from '../elementary/cos.ts'
import { sin } from '../elementary/sin.ts'
import { bt709 } from '../encoding/bt709.ts'
import { srgb } from '../encoding/srgb.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { ChartPatch, RegionChart } from './chart.ts'

/** All lengths in mm of the print at full size. */
const size = [226, 170] as const
const disc = (x: number, y: number, radius: number) => ({ circle: { centre: [x, y], radius } }) as const

/** Light of R′G′B′ signals of BT.709: what a camera has to see to give them, white at 1. */
const seenAs = (signal: Vec3): Vec3 =>
  xyzFromLinear65([bt709.decode(signal[0], 0), bt709.decode(signal[1], 1), bt709.decode(signal[2], 2)])

const corners = [
  ['red', [1, 0, 0]],
  ['magenta', [1, 0, 1]],
  ['blue', [0, 0, 1]],
  ['cyan', [0, 1, 1]],
  ['green', [0, 1, 0]],
  ['yellow', [1, 1, 0]],
] as const

/** Signals of the hues: from `low` to `high` in place of 0 to 1, which a print does not reach. */
const low = 0.3
const high = 0.7
/** The middle of the ring of hues, its radius, and that of a patch on it. */
const middle = [85, 85] as const
const ring = 73
const hueRadius = 11.5

/**
 * Eighteen hues clockwise about the ring, in the order and near enough the places that they have on a vectorscope: six
 * primaries and secondaries, and two between each pair, by equal steps of signal.
 */
const hues = corners.flatMap(([name, from], k): ChartPatch[] => {
  const [nextName, to] = corners[(k + 1) % corners.length]!
  return [0, 1, 2].map((third) => {
    const signal = from.map((level, c) => low + (high - low) * (level + ((to[c]! - level) * third) / 3))
    // Red stands at 104° on a vectorscope, half a step from here; six equal sectors.
    const turn = ((100 - 60 * k - 20 * third) * Math.PI) / 180
    return {
      name: third === 0 ? name : `${name} to ${nextName} ${third}`,
      ...(third > 0 ? {} : { role: k % 2 === 0 ? ('primary' as const) : ('secondary' as const) }),
      value: seenAs([signal[0]!, signal[1]!, signal[2]!]),
      region: disc(middle[0] + ring * cos(turn), middle[1] - ring * sin(turn), hueRadius),
    }
  })
})

/** sRGB code values (hexadecimal, 8 bit) of the six skins, light to dark. */
const skinCodes = ['edc9b6', 'd9a98f', 'c08a6e', 'a06b50', '7a4e3a', '553628']

const skins = skinCodes.map((code, k): ChartPatch => {
  const light = (at: number) => srgb.decode(Number.parseInt(code.slice(at, at + 2), 16) / 255, 0)
  const turn = ((90 - 60 * k) * Math.PI) / 180
  return {
    name: `skin ${k + 1}`,
    role: 'skin',
    value: xyzFromLinear65([light(0), light(2), light(4)]),
    region: disc(middle[0] + 39 * cos(turn), middle[1] - 39 * sin(turn), 12),
  }
})

/** Levels of the grey scales in BT.709 signal: equal steps, a straight line on a waveform monitor. */
const steps = Array.from({ length: 11 }, (_, k) => (95 - 8 * k) / 100)
const stepPitch = 15.6
const stepHeight = 13.6
const stepWidth = 24

/** Two scales side by side, one down and one up: on a waveform monitor they cross. */
const scales = (['a', 'b'] as const).flatMap((scale) =>
  steps.map((signal, k): ChartPatch => {
    const left = scale === 'a' ? 174 : 202
    const top = 0.2 + (scale === 'a' ? k : 10 - k) * stepPitch
    return {
      name: `step ${Math.round(100 * signal)} ${scale}`,
      role: k === 0 ? 'white' : k === 10 ? 'black' : 'step',
      value: seenAs([signal, signal, signal]),
      region: {
        polygon: [
          [left, top],
          [left + stepWidth, top],
          [left + stepWidth, top + stepHeight],
          [left, top + stepHeight],
        ],
      },
    }
  }),
)

/**
 * A chart of our own of regions: a ring of eighteen hues about six skins and the hole of a light trap, and beside it a
 * crossed grey scale of eleven steps. The values are the aims of its print file; docs/charts.md says how to print and
 * measure it.
 */
export const buoy47: RegionChart = {
  id: 'buoy47',
  title: '47 patches: a ring of hues, skins, a crossed grey scale and a light trap, aims of the print file',
  regions: {
    size,
    landmarks: [
      { name: 'upper left frame line', at: [0, 0] },
      { name: 'upper right frame line', at: [226, 0] },
      { name: 'lower right frame line', at: [226, 170] },
      { name: 'lower left frame line', at: [0, 170] },
    ],
  },
  patches: [
    ...hues,
    ...skins,
    { name: 'true black', role: 'true-black', region: disc(middle[0], middle[1], 15) },
    ...scales,
  ],
  reference: {
    space: 'XYZ',
    illuminant: 'D65',
    observer: 2,
    source: 'BT.709 signals and, of the skins, sRGB code values of the print file',
  },
}
