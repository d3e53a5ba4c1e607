import {
  type BitDepth,
  type ExponentNode,
  type LogNode,
  type ProcessList,
  type ProcessNode,
  writeClf,
} from '@isochip/export'
import { numbersFrom } from './lutNumbers.ts'

const all = <T>(x: T): readonly [T, T, T] => [x, x, x]
const one = (node: ProcessNode): ProcessList => ({ id: node.type, nodes: [node] })
const random = numbersFrom(7)
const randoms = (length: number) => Float32Array.from({ length }, () => random())

const exponent = (style: ExponentNode['style']): ExponentNode => {
  const toe = style.startsWith('monCurve')
  return {
    type: 'Exponent',
    style,
    channels: toe
      ? [
          { exponent: 2.4, offset: 0.055 },
          { exponent: 1 / 0.45, offset: 0.099 },
          { exponent: 3, offset: 0.16 },
        ]
      : [{ exponent: 2.4 }, { exponent: 0.7 }, { exponent: 1 }],
  }
}
const logParameters = {
  base: 2,
  logSideSlope: 0.0570776,
  logSideOffset: 0.554795,
  linSideSlope: 1,
  linSideOffset: 0.01,
}
const log = (style: LogNode['style']): LogNode => ({
  type: 'Log',
  style,
  channels: style.startsWith('camera')
    ? [
        { ...logParameters, linSideBreak: 0.0078125 },
        { ...logParameters, logSideSlope: 0.25, linSideBreak: 0.02 },
        { ...logParameters, linSideBreak: 0.001 },
      ]
    : all({ ...logParameters, base: 10, logSideSlope: 0.3 }),
})
const cdl = (style: 'Fwd' | 'Rev' | 'FwdNoClamp' | 'RevNoClamp'): ProcessNode => ({
  type: 'ASC_CDL',
  style,
  slope: [1.1, 0.9, 1],
  offset: [0.02, -0.03, 0],
  power: [1.2, 0.8, 1],
  saturation: 0.85,
})
const depths: BitDepth[] = ['8i', '10i', '12i', '16i', '16f', '32f']
const halfIndexed = Float32Array.from({ length: 65536 }, (_, i) => ((i & 0x7c00) === 0x7c00 ? 0 : i / 65536))

/** A process list for every node type and style, and for every bit depth where the depth matters. */
export const clfCases: Readonly<Record<string, ProcessList>> = {
  'Matrix 3 3': one({
    type: 'Matrix',
    matrix: [
      [1.2, -0.15, -0.05],
      [-0.08, 1.11, -0.03],
      [0.02, -0.22, 1.2],
    ],
    offset: [0, 0, 0],
  }),
  ...Object.fromEntries(
    depths.map((depth) => [
      `Matrix 3 4, 10i to ${depth}`,
      one({
        type: 'Matrix',
        inBitDepth: '10i',
        outBitDepth: depth,
        matrix: [
          [1.2, -0.15, -0.05],
          [-0.08, 1.11, -0.03],
          [0.02, -0.22, 1.2],
        ],
        offset: [0.01, -0.02, 0.03],
      }),
    ]),
  ),
  ...Object.fromEntries(
    depths.map((depth) => [
      `LUT1D, ${depth}`,
      one({
        type: 'LUT1D',
        inBitDepth: depth,
        outBitDepth: depth,
        length: 17,
        columns: 3,
        table: randoms(51),
      }),
    ]),
  ),
  'LUT1D, one column': one({ type: 'LUT1D', length: 5, columns: 1, table: randoms(5) }),
  'LUT1D, half domain': one({
    type: 'LUT1D',
    length: 65536,
    columns: 1,
    table: halfIndexed,
    halfDomain: true,
  }),
  'LUT1D, raw halfs': one({
    type: 'LUT1D',
    outBitDepth: '16f',
    length: 3,
    columns: 1,
    table: Float32Array.of(0.25, -0.5, 1.5),
    rawHalfs: true,
  }),
  'LUT1D, half domain and raw halfs': one({
    type: 'LUT1D',
    outBitDepth: '16f',
    length: 65536,
    columns: 1,
    table: halfIndexed.map((x) => Math.round(x * 256) / 256),
    halfDomain: true,
    rawHalfs: true,
  }),
  'LUT1D, index map': {
    id: 'LUT1D',
    version: '2.0',
    nodes: [
      {
        type: 'LUT1D',
        inBitDepth: '10i',
        outBitDepth: '32f',
        length: 9,
        columns: 3,
        table: randoms(27),
        indexMap: { inputs: [64 / 1023, 940 / 1023], entries: [0, 8] },
      },
    ],
  },
  'LUT3D, trilinear': one({
    type: 'LUT3D',
    size: 5,
    tableBlueFastest: randoms(375),
    interpolation: 'trilinear',
  }),
  'LUT3D, tetrahedral, 12i to 16i': one({
    type: 'LUT3D',
    inBitDepth: '12i',
    outBitDepth: '16i',
    size: 4,
    tableBlueFastest: randoms(192),
    interpolation: 'tetrahedral',
  }),
  'Range, clamp': one({ type: 'Range', style: 'clamp', minIn: 0.1, maxIn: 0.9, minOut: -0.1, maxOut: 1.2 }),
  'Range, noClamp, 10i to 12i': one({
    type: 'Range',
    style: 'noClamp',
    inBitDepth: '10i',
    outBitDepth: '12i',
    minIn: 64 / 1023,
    maxIn: 940 / 1023,
    minOut: 0,
    maxOut: 1,
  }),
  'Range, lower pair': one({ type: 'Range', style: 'clamp', minIn: 0.1, minOut: 0.1 }),
  'Range, upper pair': one({ type: 'Range', style: 'clamp', maxIn: 0.8, maxOut: 0.8 }),
  ...Object.fromEntries(
    (['Fwd', 'Rev', 'FwdNoClamp', 'RevNoClamp'] as const).map((style) => [
      `ASC_CDL ${style}`,
      one(cdl(style)),
    ]),
  ),
  ...Object.fromEntries(
    (
      [
        'basicFwd',
        'basicRev',
        'basicMirrorFwd',
        'basicMirrorRev',
        'basicPassThruFwd',
        'basicPassThruRev',
        'monCurveFwd',
        'monCurveRev',
        'monCurveMirrorFwd',
        'monCurveMirrorRev',
      ] as const
    ).map((style) => [`Exponent ${style}`, one(exponent(style))]),
  ),
  // With basicFwd, which cuts at 0, OpenColorIO cuts the other channels too; here they are left as they are.
  'Exponent, green alone': one({
    type: 'Exponent',
    style: 'basicMirrorFwd',
    channels: [undefined, { exponent: 2.2 }, undefined],
  }),
  'Log cameraLogToLin, slope of the toe given': one({
    type: 'Log',
    style: 'cameraLogToLin',
    channels: all({ ...logParameters, linSideBreak: 0.0078125, linearSlope: 10.5402 }),
  }),
  ...Object.fromEntries(
    (
      [
        'log10',
        'antiLog10',
        'log2',
        'antiLog2',
        'linToLog',
        'logToLin',
        'cameraLinToLog',
        'cameraLogToLin',
      ] as const
    ).map((style) => [`Log ${style}`, one(log(style))]),
  ),
}

export const clfTexts: Readonly<Record<string, string>> = Object.fromEntries(
  Object.entries(clfCases).map(([name, list]) => [name, writeClf(list)]),
)

/** A float frame: 0 and 1, values around them, and any from −0.5 to 1.5. */
export function floatFrame(pixels: number): Float32Array {
  const next = numbersFrom(99)
  const frame = Float32Array.from({ length: 3 * pixels }, () => next() * 2 - 0.5)
  frame.set([0, 0, 0, 1, 1, 1, 1e-5, -1e-5, 1.00001, 0.5, 0.25, 0.125])
  return frame
}
