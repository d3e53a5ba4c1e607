import { apply3, pow, type Vec3 } from '@isochip/core'
import { curve } from '../interpolate/curve.ts'
import { tetrahedral } from '../interpolate/tetrahedral.ts'
import { trilinear } from '../interpolate/trilinear.ts'
import type { LatticeLut } from '../lut/lut.ts'
import { exponentCurve, logCurve } from './curves.ts'
import { halfMax, halfTowardsZero, halfValue } from './half.ts'
import { latticeOfNode } from './order.ts'
import type {
  CdlNode,
  IndexMap,
  Lut1dNode,
  Lut3dNode,
  ProcessList,
  ProcessNode,
  RangeNode,
} from './processList.ts'

/** From RGB to RGB, normalised. */
export type RgbFunction = (rgb: Vec3) => Vec3

/** A Common LUT Format process list as a function, in double precision. Numbers are normalised: see `ProcessList`. */
export function processListTransform(list: ProcessList): RgbFunction {
  const steps = list.nodes.map(nodeTransform)
  return (rgb) => steps.reduce((value, step) => step(value), rgb)
}

function nodeTransform(node: ProcessNode): RgbFunction {
  switch (node.type) {
    case 'Matrix':
      return (rgb) => {
        const m = apply3(node.matrix, rgb)
        return [m[0] + node.offset[0], m[1] + node.offset[1], m[2] + node.offset[2]]
      }
    case 'Range':
      return perChannel(rangeCurve(node))
    case 'Exponent': {
      const [r, g, b] = node.channels.map((p) => exponentCurve(node.style, p)) as [Curve, Curve, Curve]
      return (rgb) => [r(rgb[0]), g(rgb[1]), b(rgb[2])]
    }
    case 'Log': {
      const [r, g, b] = node.channels.map((p) => logCurve(node.style, p)) as [Curve, Curve, Curve]
      return (rgb) => [r(rgb[0]), g(rgb[1]), b(rgb[2])]
    }
    case 'ASC_CDL':
      return cdl(node)
    case 'LUT1D':
      return lut1d(node)
    case 'LUT3D':
      return lut3d(node)
  }
}

type Curve = (x: number) => number

function perChannel(f: Curve): RgbFunction {
  return (rgb) => [f(rgb[0]), f(rgb[1]), f(rgb[2])]
}

function rangeCurve({ style, minIn, maxIn, minOut, maxOut }: RangeNode): Curve {
  const low = minIn !== undefined && minOut !== undefined
  const high = maxIn !== undefined && maxOut !== undefined
  const scale = low && high ? (maxOut - minOut) / (maxIn - minIn) : 1
  const shift = low ? minOut - minIn * scale : high ? maxOut - maxIn * scale : 0
  if (style === 'noClamp') return (x) => x * scale + shift
  const most = high ? maxOut : Number.POSITIVE_INFINITY
  return (x) => {
    const y = x * scale + shift
    // NaN becomes the lower end, as in the reference implementation.
    return low && !(y > minOut) ? minOut : Math.min(y, most)
  }
}

const clamp01 = (x: number) => Math.min(Math.max(x, 0), 1)
const asIs = (x: number) => x

/** S-2014-006, ASC_CDL: saturation by the luma of BT.709; the styles without clamp pass negative numbers by the power. */
function cdl({ style, slope, offset, power, saturation }: CdlNode): RgbFunction {
  const clamp = style.endsWith('NoClamp') ? asIs : clamp01
  const raise = (x: number, p: number) => (x < 0 ? x : pow(x, p))
  const saturate = (rgb: Vec3, amount: number): Vec3 => {
    const luma = 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]
    const mix = (x: number) => clamp(luma + amount * (x - luma))
    return [mix(rgb[0]), mix(rgb[1]), mix(rgb[2])]
  }
  if (style.startsWith('Fwd')) {
    const grade = (x: number, c: 0 | 1 | 2) => raise(clamp(x * slope[c] + offset[c]), power[c])
    return (rgb) => saturate([grade(rgb[0], 0), grade(rgb[1], 1), grade(rgb[2], 2)], saturation)
  }
  const back = (x: number, c: 0 | 1 | 2) => clamp((raise(x, 1 / power[c]) - offset[c]) / slope[c])
  return (rgb) => {
    const [r, g, b] = saturate([clamp(rgb[0]), clamp(rgb[1]), clamp(rgb[2])], 1 / saturation)
    return [back(r, 0), back(g, 1), back(b, 2)]
  }
}

/** Position between the entries, straight lines between the pairs of the map, clamped to its ends. */
function mapped({ inputs, entries }: IndexMap, x: number): number {
  const last = inputs.length - 1
  if (!(x > inputs[0]!)) return entries[0]!
  if (x >= inputs[last]!) return entries[last]!
  let i = 0
  while (x >= inputs[i + 1]!) i++
  const f = (x - inputs[i]!) / (inputs[i + 1]! - inputs[i]!)
  return entries[i]! + f * (entries[i + 1]! - entries[i]!)
}

function lut1d(node: Lut1dNode): RgbFunction {
  const { length, columns, table, indexMap } = node
  if (node.halfDomain === true) {
    const one = (x: number, c: number) => {
      const bits = halfTowardsZero(x)
      const at = (i: number) => table[i * columns + (columns === 3 ? c : 0)]!
      const low = halfValue(bits)
      // ±65504 is the last half with a neighbour that is a number.
      if ((bits & 0x7fff) === 0x7bff) return at(bits)
      const f = (Math.max(-halfMax, Math.min(halfMax, x || 0)) - low) / (halfValue(bits + 1) - low)
      return at(bits) * (1 - f) + at(bits + 1) * f
    }
    return (rgb) => [one(rgb[0], 0), one(rgb[1], 1), one(rgb[2], 2)]
  }
  const triples =
    columns === 3 ? table : Float64Array.from({ length: 3 * length }, (_, i) => table[Math.floor(i / 3)]!)
  const max = indexMap === undefined ? 1 : length - 1
  const lut = {
    kind: 'curve',
    size: length,
    domainMin: [0, 0, 0],
    domainMax: [max, max, max],
    table: triples,
  } as const
  const place = indexMap === undefined ? asIs : (x: number) => mapped(indexMap, x)
  const out = new Float64Array(3)
  return (rgb) => {
    curve(lut, place(rgb[0]), place(rgb[1]), place(rgb[2]), out, 0)
    return [out[0]!, out[1]!, out[2]!]
  }
}

function lut3d(node: Lut3dNode): RgbFunction {
  const { indexMaps, size } = node
  const max = indexMaps === undefined ? 1 : size - 1
  const lut: LatticeLut = { ...latticeOfNode(node), domainMax: [max, max, max] }
  const interpolate = node.interpolation === 'tetrahedral' ? tetrahedral : trilinear
  const place = (x: number, c: 0 | 1 | 2) => (indexMaps === undefined ? x : mapped(indexMaps[c], x))
  const out = new Float64Array(3)
  return (rgb) => {
    interpolate(lut, place(rgb[0], 0), place(rgb[1], 1), place(rgb[2], 2), out, 0)
    return [out[0]!, out[1]!, out[2]!]
  }
}
