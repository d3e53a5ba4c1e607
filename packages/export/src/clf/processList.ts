import type { Mat3, Vec3 } from '@isochip/core'
import { exp2 } from '@isochip/core'
import type { LutTable } from '../lut/lut.ts'

/**
 * The Common LUT Format (Academy S-2014-006 v3, SMPTE ST 2136-1) as data. All numbers here are normalised: 1 stands
 * for the highest code of an integer bit depth and for 1.0 of a float one, whatever the file is scaled to.
 */
export const bitDepths = ['8i', '10i', '12i', '16i', '16f', '32f'] as const
export type BitDepth = (typeof bitDepths)[number]

/** The number that stands for 1 in a file: 2^n − 1 for integers, 1 for floats. */
export function depthScale(depth: BitDepth): number {
  return depth.endsWith('f') ? 1 : exp2(Number.parseInt(depth, 10)) - 1
}

interface NodeBase {
  readonly id?: string
  readonly name?: string
  /** How the numbers of the file are scaled; default 32f. Calculation is in floating point either way. */
  readonly inBitDepth?: BitDepth
  readonly outBitDepth?: BitDepth
  readonly descriptions?: readonly string[]
}

/** out = matrix · in + offset. */
export interface MatrixNode extends NodeBase {
  readonly type: 'Matrix'
  readonly matrix: Mat3
  readonly offset: Vec3
}

/** Inputs and the (fractional) entry that each stands for, rising. Deprecated in version 3 of the format. */
export interface IndexMap {
  readonly inputs: readonly number[]
  readonly entries: readonly number[]
}

/** 1D LUT over the inputs 0…1, or over all half floats. Input outside is clamped. */
export interface Lut1dNode extends NodeBase {
  readonly type: 'LUT1D'
  /** Entries; 65536 with `halfDomain`. */
  readonly length: number
  /** 1: one column for all channels; 3: RGB triples. */
  readonly columns: 1 | 3
  readonly table: LutTable
  /** Entry i is the answer to the half float of bit pattern i. Entries of infinity and NaN are not used. */
  readonly halfDomain?: boolean
  /** In the file the entries are bit patterns of half floats. */
  readonly rawHalfs?: boolean
  readonly indexMap?: IndexMap
}

/** 3D LUT over the inputs 0…1, clamped. */
export interface Lut3dNode extends NodeBase {
  readonly type: 'LUT3D'
  readonly size: number
  /** Node (r, g, b) at 3 · (b + size · (g + size · r)): blue runs fastest, unlike in a `.cube` file. */
  readonly tableBlueFastest: LutTable
  readonly interpolation: 'trilinear' | 'tetrahedral'
  /** One for each channel. */
  readonly indexMaps?: readonly [IndexMap, IndexMap, IndexMap]
}

/** Linear from minIn…maxIn to minOut…maxOut; with one pair alone a shift. `clamp` cuts at the outputs. */
export interface RangeNode extends NodeBase {
  readonly type: 'Range'
  readonly style: 'clamp' | 'noClamp'
  readonly minIn?: number
  readonly maxIn?: number
  readonly minOut?: number
  readonly maxOut?: number
}

export const cdlStyles = ['Fwd', 'Rev', 'FwdNoClamp', 'RevNoClamp'] as const

/** The ASC Color Decision List: slope, offset, power, then saturation with the weights of BT.709. */
export interface CdlNode extends NodeBase {
  readonly type: 'ASC_CDL'
  readonly style: (typeof cdlStyles)[number]
  readonly slope: Vec3
  readonly offset: Vec3
  readonly power: Vec3
  readonly saturation: number
}

export const exponentStyles = [
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

export interface ExponentParameters {
  readonly exponent: number
  /** Only for the monCurve styles. */
  readonly offset?: number
}

/** Power laws, and power laws with a straight toe that meets them smoothly. */
export interface ExponentNode extends NodeBase {
  readonly type: 'Exponent'
  readonly style: (typeof exponentStyles)[number]
  /** Red, green, blue; `undefined` leaves the channel as it is. */
  readonly channels: readonly [
    ExponentParameters | undefined,
    ExponentParameters | undefined,
    ExponentParameters | undefined,
  ]
}

export const logStyles = [
  'log10',
  'antiLog10',
  'log2',
  'antiLog2',
  'linToLog',
  'logToLin',
  'cameraLinToLog',
  'cameraLogToLin',
] as const

export interface LogNodeParameters {
  readonly base: number
  readonly logSideSlope: number
  readonly logSideOffset: number
  readonly linSideSlope: number
  readonly linSideOffset: number
  /** Only for the camera styles, where it is required. */
  readonly linSideBreak?: number
  readonly linearSlope?: number
}

export interface LogNode extends NodeBase {
  readonly type: 'Log'
  readonly style: (typeof logStyles)[number]
  /** Red, green, blue; not used by the four styles without parameters. */
  readonly channels: readonly [
    LogNodeParameters | undefined,
    LogNodeParameters | undefined,
    LogNodeParameters | undefined,
  ]
}

export type ProcessNode = MatrixNode | Lut1dNode | Lut3dNode | RangeNode | CdlNode | ExponentNode | LogNode

/** What a signal is, by the labels of SMPTE ST 2136-10. */
export interface SignalCharacteristics {
  readonly colorPrimaries?: string
  readonly transferCharacteristic?: string
  readonly codingEquations?: string
}

/** The profile *Live Broadcast LUT33* of SMPTE ST 2136-10. */
export interface LiveProfile {
  readonly input: SignalCharacteristics
  readonly output: SignalCharacteristics
}

/** A chain of nodes, first to last. */
export interface ProcessList {
  readonly id: string
  readonly name?: string
  /** `compCLFversion`; default 3.0. */
  readonly version?: string
  /** The `Id` of SMPTE ST 2136-1, `urn:uuid:` and a UUID; default one made of `id`. */
  readonly uuid?: string
  readonly inverseOf?: string
  readonly descriptions?: readonly string[]
  readonly inputDescriptor?: string
  readonly outputDescriptor?: string
  /** Where the file says that it keeps to the profile. */
  readonly profile?: LiveProfile
  readonly nodes: readonly ProcessNode[]
}
