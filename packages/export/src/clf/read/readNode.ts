import { given, type Vec3 } from '@isochip/core'
import { halfValue } from '../half.ts'
import {
  type BitDepth,
  bitDepths,
  type CdlNode,
  cdlStyles,
  depthScale,
  type ExponentNode,
  type ExponentParameters,
  exponentStyles,
  type IndexMap,
  type LogNode,
  type LogNodeParameters,
  type Lut1dNode,
  type Lut3dNode,
  logStyles,
  type MatrixNode,
  type ProcessNode,
  type RangeNode,
} from '../processList.ts'
import { clfLimits } from '../rules/clfLimits.ts'
import type { ClfGeneration } from '../rules/generation.ts'
import type { ElementReader } from './elementReader.ts'

interface Common {
  readonly inBitDepth: BitDepth
  readonly outBitDepth: BitDepth
  readonly id?: string
  readonly name?: string
  readonly descriptions?: readonly string[]
}
type NodeReader = (node: ElementReader, common: Common, generation: ClfGeneration) => ProcessNode

/** The process nodes of the format, by element name. */
export const nodeReaders: Readonly<Record<string, NodeReader>> = {
  Matrix: readMatrix,
  LUT1D: readLut1d,
  LUT3D: readLut3d,
  Range: readRange,
  ASC_CDL: readCdl,
  Exponent: readExponent,
  Log: readLog,
}

const commonAttributes = ['id', 'name', 'inBitDepth', 'outBitDepth']

/** Nodes that version 2 does not have. */
const sinceVersion3 = ['Exponent', 'Log']

export function readNode(node: ElementReader, generation: ClfGeneration): ProcessNode {
  if (generation === '2' && sinceVersion3.includes(node.element.name)) {
    node.fail('not part of version 2 of the format')
  }
  const id = node.id()
  const name = node.attribute('name')
  const descriptions = node.childrenNamed('Description').map((d) => d.element.text.trim())
  const common: Common = {
    inBitDepth: node.oneOf('inBitDepth', bitDepths),
    outBitDepth: node.oneOf('outBitDepth', bitDepths),
    ...given({ id, name }),
    ...(descriptions.length === 0 ? {} : { descriptions }),
  }
  return nodeReaders[node.element.name]!(node, common, generation)
}

function allow(node: ElementReader, attributes: readonly string[], children: readonly string[]): void {
  node.onlyAttributes([...commonAttributes, ...attributes])
  node.onlyChildren(['Description', ...children])
}

function readMatrix(node: ElementReader, common: Common, generation: ClfGeneration): MatrixNode {
  allow(node, [], ['Array'])
  const array = node.one('Array')
  const dim = array.counts('dim')
  const [rows, columns, channels] = dim
  // Version 2 of the format had a third number, of colour channels.
  const third = generation === '2' && dim.length === 3
  if (rows !== 3 || (columns !== 3 && columns !== 4) || (third ? channels !== 3 : dim.length !== 2)) {
    array.fail(
      `dim is "${array.required('dim')}", expected 3 3 or 3 4${generation === '2' ? ', or 3 3 3 or 3 4 3' : ''}`,
    )
  }
  const numbers = array.numbers(3 * columns!)
  const out = 1 / depthScale(common.outBitDepth)
  const scale = depthScale(common.inBitDepth) * out
  const row = (r: number): Vec3 => {
    const at = r * columns!
    return [numbers[at]! * scale, numbers[at + 1]! * scale, numbers[at + 2]! * scale]
  }
  const offset = (r: number) => (columns === 4 ? numbers[4 * r + 3]! * out : 0)
  return {
    type: 'Matrix',
    ...common,
    matrix: [row(0), row(1), row(2)],
    offset: [offset(0), offset(1), offset(2)],
  }
}

function readIndexMap(map: ElementReader, depth: BitDepth, length: number): IndexMap {
  const dim = map.counts('dim')
  if (dim.length !== 1) map.fail(`dim is "${map.required('dim')}", expected one number`)
  const [count = 0] = dim
  const pairs = map.element.text
    .trim()
    .replace(/\s*@\s*/g, '@')
    .split(/\s+/)
  if (count < 2 || pairs.length !== count) map.fail(`${pairs.length} pairs, expected ${count} and at least 2`)
  const split = pairs.map((pair) => {
    const found = /^([^@]+)@(\d{1,9})(?:\.0*)?$/.exec(pair)
    const input = Number(found?.[1])
    if (found === null || !Number.isFinite(input)) map.fail(`"${pair}", expected input@entry`)
    return [input / depthScale(depth), Number(found[2])] as const
  })
  split.forEach(([input, entry], i) => {
    if (i > 0 && !(input > split[i - 1]![0] && entry > split[i - 1]![1])) map.fail('the pairs must rise')
    if (entry >= length) map.fail(`entry ${entry}, expected less than ${length}`)
  })
  return { inputs: split.map(([input]) => input), entries: split.map(([, entry]) => entry) }
}

function readLut1d(node: ElementReader, common: Common): Lut1dNode {
  allow(node, ['interpolation', 'halfDomain', 'rawHalfs'], ['Array', 'IndexMap'])
  node.oneOf('interpolation', ['linear'], node.attribute('interpolation') ?? 'linear')
  const halfDomain = node.flag('halfDomain')
  const rawHalfs = node.flag('rawHalfs')
  const array = node.one('Array')
  const dim = array.counts('dim')
  const [length = 0, columns] = dim
  if (dim.length !== 2 || (columns !== 1 && columns !== 3)) {
    return array.fail(`dim is "${array.required('dim')}", expected the length and 1 or 3`)
  }
  if (length < 2 || length > clfLimits.curveLength) {
    array.fail(`length is ${length}, expected 2 to ${clfLimits.curveLength}`, undefined, 'lut-limits')
  }
  if (halfDomain && length !== 65536) array.fail(`length is ${length}, expected 65536 with halfDomain`)
  // Infinities and NaN have bit patterns too, but no input reaches their entries.
  const unused = (i: number) => halfDomain && (Math.floor(i / columns) & 0x7c00) === 0x7c00
  const table = array.numbers(length * columns, 'any')
  const scale = 1 / depthScale(common.outBitDepth)
  table.forEach((value, i) => {
    if (!rawHalfs) table[i] = value * scale
    else {
      if (!Number.isInteger(value) || value < 0 || value > 65535) {
        array.fail(`entry ${value}, expected a whole number from 0 to 65535 with rawHalfs`)
      }
      table[i] = halfValue(value)
    }
    if (unused(i) && !Number.isFinite(table[i])) table[i] = 0
  })
  boundEntries(node, table)
  const map = node.optional('IndexMap')
  return {
    type: 'LUT1D',
    ...common,
    length,
    columns,
    table,
    ...(halfDomain ? { halfDomain } : {}),
    ...(rawHalfs ? { rawHalfs } : {}),
    ...(map === undefined ? {} : { indexMap: readIndexMap(map, common.inBitDepth, length) }),
  }
}

/** The largest number of single precision, in which readers compute. */
const largestSingle = (2 - 2 ** -23) * 2 ** 127

/** Entries that are no numbers, as OpenColorIO 2.1 takes them: NaN as 0, what is too large as the largest. */
function boundEntries(node: ElementReader, table: Float64Array): void {
  let found = 0
  for (let i = 0; i < table.length; i++) {
    const value = table[i]!
    if (Math.abs(value) <= largestSingle) continue
    found++
    table[i] = Number.isNaN(value) ? 0 : Math.sign(value) * largestSingle
  }
  if (found === 0) return
  node.caution(
    'clf-not-finite',
    `${found} ${found === 1 ? 'entry' : 'entries'} of ${node.element.name} beyond single precision: NaN is taken as 0, the others as the largest number there is`,
  )
}

function readLut3d(node: ElementReader, common: Common): Lut3dNode {
  allow(node, ['interpolation'], ['Array', 'IndexMap'])
  const interpolation = node.oneOf(
    'interpolation',
    ['trilinear', 'tetrahedral'],
    node.attribute('interpolation') ?? 'trilinear',
  )
  const array = node.one('Array')
  const dim = array.counts('dim')
  const [size = 0, green, blue, channels] = dim
  if (dim.length !== 4 || green !== size || blue !== size || channels !== 3) {
    array.fail(`dim is "${array.required('dim')}", expected N N N 3`)
  }
  if (size < 2 || size > clfLimits.latticeSize) {
    array.fail(`size is ${size}, expected 2 to ${clfLimits.latticeSize}`, undefined, 'lut-limits')
  }
  const table = array.numbers(3 * size * size * size, 'any')
  const scale = depthScale(common.outBitDepth)
  if (scale !== 1) for (let i = 0; i < table.length; i++) table[i] = table[i]! / scale
  boundEntries(node, table)
  const maps = node.childrenNamed('IndexMap').map((map) => readIndexMap(map, common.inBitDepth, size))
  if (maps.length !== 0 && maps.length !== 1 && maps.length !== 3) {
    node.fail(`${maps.length} IndexMap, expected one or three`)
  }
  return {
    type: 'LUT3D',
    ...common,
    size,
    tableBlueFastest: table,
    interpolation,
    ...(maps.length === 0
      ? {}
      : { indexMaps: [maps[0]!, maps[1] ?? maps[0]!, maps[2] ?? maps[0]!] as const }),
  }
}

function readRange(node: ElementReader, common: Common): RangeNode {
  const names = ['minInValue', 'maxInValue', 'minOutValue', 'maxOutValue'] as const
  allow(node, ['style'], names)
  const style = node.oneOf('style', ['clamp', 'noClamp'], toLowerClamp(node.attribute('style')))
  const [minIn, maxIn, minOut, maxOut] = names.map((name) => {
    const scale = depthScale(name.includes('In') ? common.inBitDepth : common.outBitDepth)
    const value = node.optional(name)?.value()
    return value === undefined ? undefined : value / scale
  })
  const low = minIn !== undefined
  const high = maxIn !== undefined
  if (low !== (minOut !== undefined)) node.fail('minInValue and minOutValue go together')
  if (high !== (maxOut !== undefined)) node.fail('maxInValue and maxOutValue go together')
  if (!low && !high) node.fail('neither a lower nor an upper pair of values')
  if (style === 'noClamp' && !(low && high)) node.fail('style noClamp needs all four values')
  // With one pair there is nothing to scale by, and a shift is not what a Range is for.
  const apart = (a: number, b: number) => Math.abs(a - b) > 1e-6 * Math.max(Math.abs(a), Math.abs(b))
  if (low && !high && apart(minIn, minOut!)) {
    node.fail('minInValue and minOutValue must be the same level where there are no upper values')
  }
  if (high && !low && apart(maxIn, maxOut!)) {
    node.fail('maxInValue and maxOutValue must be the same level where there are no lower values')
  }
  if (low && high && !(maxIn > minIn)) node.fail('maxInValue must be above minInValue')
  if (low && high && !(maxOut! >= minOut!)) node.fail('maxOutValue must not be below minOutValue')
  return {
    type: 'Range',
    ...common,
    style,
    ...(low ? { minIn, minOut: minOut! } : {}),
    ...(high ? { maxIn, maxOut: maxOut! } : {}),
  }
}

/** Version 2 wrote the style with a capital. */
function toLowerClamp(style: string | undefined): string {
  return style === 'Clamp' ? 'clamp' : (style ?? 'clamp')
}

/** Names that versions 1 and 2 had for the styles. */
const formerCdlStyles: Readonly<Record<string, CdlNode['style']>> = {
  'v1.2_Fwd': 'Fwd',
  'v1.2_Rev': 'Rev',
  noClampFwd: 'FwdNoClamp',
  noClampRev: 'RevNoClamp',
}

function readCdl(node: ElementReader, common: Common): CdlNode {
  allow(node, ['style'], ['SOPNode', 'SatNode'])
  const written = node.attribute('style') ?? 'Fwd'
  const style = node.oneOf('style', cdlStyles, formerCdlStyles[written] ?? written)
  const sop = node.optional('SOPNode')
  sop?.onlyChildren(['Slope', 'Offset', 'Power', 'Description'])
  const sat = node.optional('SatNode')
  sat?.onlyChildren(['Saturation', 'Description'])
  if (sop === undefined && sat === undefined) node.fail('SOPNode and SatNode are both missing')
  const triple = (name: string, otherwise: Vec3, ok: (x: number) => boolean, rule: string): Vec3 => {
    const element = sop?.one(name)
    if (element === undefined) return otherwise
    const [r, g, b] = element.numbers(3)
    if (![r!, g!, b!].every(ok)) element.fail(`${r} ${g} ${b}, expected ${rule}`)
    return [r!, g!, b!]
  }
  const back = style.startsWith('Rev')
  const slope = triple(
    'Slope',
    [1, 1, 1],
    (x) => x > 0 || (x === 0 && !back),
    back ? 'above 0' : 'not below 0',
  )
  const offset = triple('Offset', [0, 0, 0], () => true, 'numbers')
  const power = triple('Power', [1, 1, 1], (x) => x > 0, 'above 0')
  const saturation = sat?.one('Saturation').value() ?? 1
  if (!(saturation > 0 || (saturation === 0 && !back))) {
    sat?.fail(`saturation is ${saturation}, expected ${back ? 'above 0' : 'not below 0'}`)
  }
  return { type: 'ASC_CDL', ...common, style, slope, offset, power, saturation }
}

type Channels<T> = readonly [T | undefined, T | undefined, T | undefined]

/** The parameter elements of the three channels: one for all, or one each by `channel`. */
function perChannel<T>(node: ElementReader, name: string, read: (element: ElementReader) => T): Channels<T> {
  const channels: [T | undefined, T | undefined, T | undefined] = [undefined, undefined, undefined]
  const elements = node.childrenNamed(name)
  for (const element of elements) {
    const channel = element.attribute('channel')
    const value = read(element)
    if (channel === undefined) {
      if (elements.length > 1) element.fail('without a channel, beside others')
      return [value, value, value]
    }
    const c = ['R', 'G', 'B'].indexOf(element.oneOf('channel', ['R', 'G', 'B']))
    if (channels[c] !== undefined) element.fail(`a second one for channel ${channel}`)
    channels[c] = value
  }
  return channels
}

function readExponent(node: ElementReader, common: Common): ExponentNode {
  allow(node, ['style'], ['ExponentParams'])
  const style = node.oneOf('style', exponentStyles)
  const toe = style.startsWith('monCurve')
  if (node.childrenNamed('ExponentParams').length === 0) node.fail('ExponentParams is missing')
  const channels = perChannel(node, 'ExponentParams', (element): ExponentParameters => {
    element.onlyAttributes(['exponent', 'offset', 'channel'])
    const exponent = element.requiredNumber('exponent')
    const offset = toe ? element.requiredNumber('offset') : element.number('offset')
    const bounds = toe ? clfLimits.monCurveExponent : clfLimits.exponent
    if (!(exponent >= bounds.min && exponent <= bounds.max)) {
      element.fail(`exponent is ${exponent}, expected ${bounds.min} to ${bounds.max}`)
    }
    if (offset === undefined) return { exponent }
    if (!toe) element.fail(`offset is not allowed in style ${style}`)
    const { min, max } = clfLimits.monCurveOffset
    if (!(offset >= min && offset <= max)) element.fail(`offset is ${offset}, expected ${min} to ${max}`)
    return { exponent, offset }
  })
  return { type: 'Exponent', ...common, style, channels }
}

const logAttributes = ['base', 'logSideSlope', 'logSideOffset', 'linSideSlope', 'linSideOffset'] as const
const cameraAttributes = ['linSideBreak', 'linearSlope'] as const

function readLog(node: ElementReader, common: Common): LogNode {
  allow(node, ['style'], ['LogParams'])
  const style = node.oneOf('style', logStyles)
  const camera = style.startsWith('camera')
  const count = node.childrenNamed('LogParams').length
  if (style.includes('To')) {
    if (count === 0) node.fail('LogParams is missing')
  } else if (count > 0) node.fail(`LogParams is not allowed in style ${style}`)
  const channels = perChannel(node, 'LogParams', (element): LogNodeParameters => {
    element.onlyAttributes([...logAttributes, ...(camera ? cameraAttributes : []), 'channel'])
    const or = (name: (typeof logAttributes)[number], otherwise: number) => element.number(name) ?? otherwise
    const p = {
      base: or('base', 2),
      logSideSlope: or('logSideSlope', 1),
      logSideOffset: or('logSideOffset', 0),
      linSideSlope: or('linSideSlope', 1),
      linSideOffset: or('linSideOffset', 0),
    }
    if (!(p.base > 0) || p.base === 1) element.fail(`base is ${p.base}, expected above 0 and not 1`)
    if (p.logSideSlope === 0 || p.linSideSlope === 0) element.fail('a slope is 0')
    if (!camera) return p
    const linSideBreak = element.requiredNumber('linSideBreak')
    if (!(p.linSideSlope * linSideBreak + p.linSideOffset > 0)) {
      element.fail(`linSideBreak is ${linSideBreak}, where the logarithm has no value`)
    }
    const linearSlope = element.number('linearSlope')
    if (linearSlope === 0) element.fail('a slope is 0')
    return { ...p, linSideBreak, ...given({ linearSlope }) }
  })
  return { type: 'Log', ...common, style, channels }
}
