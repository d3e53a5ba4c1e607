import { type Encoding, given, type Vec3 } from '@isochip/core'
import { bakeNodes, bakeTransformNodes, type NodeOptions } from '../../bake/bakeNodes.ts'
import { type EncodedMatch, matchTransform } from '../../bake/matchTransform.ts'
import { swapRedAndBlueOrder } from '../order.ts'
import type { ProcessList, ProcessNode, RangeNode, SignalCharacteristics } from '../processList.ts'
import { smpteVersion } from '../rules/generation.ts'
import { livePositions } from '../rules/liveProfile.ts'
import { type ClfMatch, type ClfMatchOptions, deviating, nodesOf } from './clfFromMatch.ts'

const size = 33
/** What SDI carries: 8-bit video as codes of 10 bits, times four. */
const bits = 10
const { black, white } = livePositions

export interface LiveClfOptions extends Pick<ClfMatchOptions, 'id' | 'name' | 'descriptions'>, NodeOptions {
  /** What goes after the match, such as a look: code values of its output encoding, in and out. */
  readonly after?: (code: Vec3) => Vec3
}

/**
 * A match in the profile *Live Broadcast LUT33* of SMPTE ST 2136-10, the form in which LUT boxes of live productions are fed:
 * one lattice of 33 nodes per axis over narrow-range code values, to be interpolated tetrahedrally. A full-range signal
 * comes to its place between two Ranges that do not clamp.
 */
export function liveClfFromMatch(match: EncodedMatch, options: LiveClfOptions): ClfMatch {
  const { id, name, descriptions, after } = options
  const { source, output } = match
  const narrow = { ...match, source: inNarrow(source), output: inNarrow(output), bits }
  const baking = { size, ...nodesOf(options) }
  const lattice =
    after === undefined
      ? bakeNodes(narrow, baking)
      : bakeTransformNodes(inNarrowCodes(after, matchTransform(narrow), output.range), baking)
  const nodes: ProcessNode[] = [
    ...(source.range === 'full' ? [range([0, 1], [black, white])] : []),
    {
      type: 'LUT3D',
      size,
      interpolation: 'tetrahedral',
      tableBlueFastest: swapRedAndBlueOrder(lattice.tableRedFastest, size),
    },
    ...(output.range === 'full' ? [range([black, white], [0, 1])] : []),
  ]
  const list: ProcessList = {
    id,
    version: smpteVersion,
    ...given({ name, descriptions }),
    profile: { input: characteristics(source), output: characteristics(output) },
    nodes,
  }
  const exact = matchTransform({ ...match, bits })
  return deviating(list, after === undefined ? exact : (code) => after(exact(code)))
}

/** A look for codes of a range, after a match whose codes are narrow. */
function inNarrowCodes(
  then: (code: Vec3) => Vec3,
  narrow: (code: Vec3) => Vec3,
  range: Encoding['range'],
): (code: Vec3) => Vec3 {
  if (range === 'narrow') return (code) => then(narrow(code))
  const each = (f: (x: number) => number, [r, g, b]: Vec3): Vec3 => [f(r), f(g), f(b)]
  const full = (x: number) => (x - black) / (white - black)
  const back = (x: number) => black + x * (white - black)
  return (code) => each(back, then(each(full, narrow(code))))
}

const inNarrow = (encoding: Encoding): Encoding => ({
  ...encoding,
  spec: { ...encoding.spec, range: 'narrow' },
  range: 'narrow',
})

const range = (from: readonly [number, number], to: readonly [number, number]): RangeNode => ({
  type: 'Range',
  style: 'noClamp',
  minIn: from[0],
  maxIn: from[1],
  minOut: to[0],
  maxOut: to[1],
})

/** From memory: the labels of SMPTE ST 2067-21, which the profile takes over. What has none is left out. */
const primariesLabels: Readonly<Record<string, string>> = {
  bt709: 'ITU709',
  bt2020: 'ITU2020',
  'p3-d65': 'P3D65',
}
const transferLabels: Readonly<Record<string, string>> = {
  bt709: 'ITU709',
  bt2020: 'ITU2020',
  pq: 'SMPTEST2084',
  hlg: 'HLG',
}
const equationsLabels: Readonly<Record<string, string>> = { bt709: 'ITU709', bt2020: 'ITU2020_NCL' }

function characteristics({ spec }: Encoding): SignalCharacteristics {
  const label = (kind: string, labels: Readonly<Record<string, string>>, key: unknown) => {
    const found = typeof key === 'string' ? labels[key] : undefined
    return found === undefined ? undefined : `${kind}_${found}`
  }
  return given({
    colorPrimaries: label('ColorPrimaries', primariesLabels, spec.primaries),
    transferCharacteristic: label('TransferCharacteristic', transferLabels, spec.transfer),
    codingEquations: label('CodingEquations', equationsLabels, spec.primaries),
  })
}
