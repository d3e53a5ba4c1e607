import {
  type Channel,
  type Encoding,
  fractionFromNominal,
  nominalFromFraction,
  resolveTransfer,
  type TransferSpec,
} from '@isochip/core'
import { halfValue } from '../half.ts'
import type {
  ExponentNode,
  LogNode,
  LogNodeParameters,
  Lut1dNode,
  ProcessNode,
  RangeNode,
} from '../processList.ts'

/** `formula` takes a node with parameters where the format has one for the curve; `table` always a LUT1D. */
export type CurveForm = 'formula' | 'table'

/** Code fractions → linear light, as nodes. */
export function decodeNodes({ spec, range }: Encoding, bits: number, form: CurveForm): ProcessNode[] {
  const { decode } = resolveTransfer(spec.transfer)
  const formula = form === 'formula' ? curveFormula(spec.transfer, 'decode') : undefined
  if (formula !== undefined) return [...rangeNodes(range === 'narrow', bits, 'decode'), ...formula]
  // One entry for every 16-bit code.
  const length = 65536
  return [sampled(length, (i, c) => decode(nominalFromFraction(i / (length - 1), range, bits), c))]
}

/** Linear light → code fractions, as nodes. */
export function encodeNodes({ spec, range }: Encoding, bits: number, form: CurveForm): ProcessNode[] {
  const { encode } = resolveTransfer(spec.transfer)
  const formula = form === 'formula' ? curveFormula(spec.transfer, 'encode') : undefined
  if (formula !== undefined) return [...formula, ...rangeNodes(range === 'narrow', bits, 'encode')]
  // Light has no bounds and is crowded near black, which is what the domain of half floats is made for.
  const unused = (i: number) => (i & 0x7c00) === 0x7c00
  return [
    {
      ...sampled(65536, (i, c) =>
        unused(i) ? 0 : fractionFromNominal(encode(halfValue(i), c), range, bits),
      ),
      halfDomain: true,
    },
  ]
}

function sampled(length: number, value: (i: number, channel: Channel) => number): Lut1dNode {
  const table = new Float64Array(3 * length)
  let columns: 1 | 3 = 1
  for (let i = 0; i < length; i++) {
    for (const c of [0, 1, 2] as const) table[3 * i + c] = value(i, c)
    if (table[3 * i] !== table[3 * i + 1] || table[3 * i] !== table[3 * i + 2]) columns = 3
  }
  const one = columns === 3 ? table : table.filter((_, i) => i % 3 === 0)
  // Single precision is what readers compute with, and half the digits.
  return { type: 'LUT1D', length, columns, table: Float32Array.from(one) }
}

function rangeNodes(narrow: boolean, bits: number, way: 'decode' | 'encode'): RangeNode[] {
  if (!narrow) return []
  const black = fractionFromNominal(0, 'narrow', bits)
  const white = fractionFromNominal(1, 'narrow', bits)
  return [
    way === 'decode'
      ? { type: 'Range', style: 'noClamp', minIn: black, maxIn: white, minOut: 0, maxOut: 1 }
      : { type: 'Range', style: 'noClamp', minIn: 0, maxIn: 1, minOut: black, maxOut: white },
  ]
}

/** A transfer characteristic as a formula of the format; `undefined` where there is none for it. */
function curveFormula(spec: TransferSpec, way: 'decode' | 'encode'): ProcessNode[] | undefined {
  if (spec === 'linear') return []
  if (spec === 'bt1886') return mirrored(2.4, way)
  // The format joins the two pieces where they meet in value and slope. BT.709 and IEC 61966-2-1 print constants
  // rounded from there; `clfFromMatch` measures what that makes.
  if (spec === 'srgb') return monCurve(2.4, 0.055, way)
  if (spec === 'bt709') return monCurve(1 / 0.45, 0.099, way)
  if (spec === 'bt2020') return monCurve(1 / 0.45, 0.09929682680944, way)
  if (spec === 'acescct') {
    // S-2016-001, section 4.4.
    return [
      cameraLog(
        {
          base: 2,
          logSideSlope: 1 / 17.52,
          logSideOffset: 9.72 / 17.52,
          linSideSlope: 1,
          linSideOffset: 0,
          linSideBreak: 0.0078125,
          linearSlope: 10.5402377416545,
        },
        way,
      ),
    ]
  }
  if (typeof spec === 'string') return undefined
  if ('power' in spec) {
    const inBounds = spec.power >= 0.01 && spec.power <= 100
    return inBounds ? mirrored(spec.power, way) : undefined
  }
  if ('log' in spec) {
    const defaults = { base: 2, logSideSlope: 1, logSideOffset: 0, linSideSlope: 1, linSideOffset: 0 }
    return [cameraLog({ ...defaults, ...spec.log }, way)]
  }
  return undefined
}

function mirrored(exponent: number, way: 'decode' | 'encode'): ExponentNode[] {
  return [exponentNode(way === 'decode' ? 'basicMirrorFwd' : 'basicMirrorRev', { exponent })]
}

function monCurve(exponent: number, offset: number, way: 'decode' | 'encode'): ExponentNode[] {
  return [exponentNode(way === 'decode' ? 'monCurveFwd' : 'monCurveRev', { exponent, offset })]
}

function exponentNode(
  style: ExponentNode['style'],
  parameters: { exponent: number; offset?: number },
): ExponentNode {
  return { type: 'Exponent', style, channels: [parameters, parameters, parameters] }
}

function cameraLog(parameters: LogNodeParameters, way: 'decode' | 'encode'): LogNode {
  const toe = parameters.linSideBreak !== undefined
  const decode = toe ? 'cameraLogToLin' : 'logToLin'
  const encode = toe ? 'cameraLinToLog' : 'linToLog'
  const { linearSlope: _, ...withoutToe } = parameters
  const p = toe ? parameters : withoutToe
  return { type: 'Log', style: way === 'decode' ? decode : encode, channels: [p, p, p] }
}
