import { IsochipError } from '@isochip/core'
import { decimalsFor, putDecimal, shortestDecimal } from '../../cube/decimal.ts'
import { escapeXml } from '../../lut/escapeXml.ts'
import { firstNotFinite } from '../../lut/lut.ts'
import { utf8Text } from '../../lut/text.ts'
import { nearestHalf } from '../half.ts'
import {
  type BitDepth,
  depthScale,
  type IndexMap,
  type LiveProfile,
  type ProcessList,
  type ProcessNode,
  type SignalCharacteristics,
} from '../processList.ts'
import { type ClfGeneration, generationOf, smpteNamespace, smpteVersion } from '../rules/generation.ts'
import { characteristicsElements, liveNamespace, liveProfileName } from '../rules/liveProfile.ts'
import { uuidOfName } from './uuidOfName.ts'

export interface ClfWriteOptions {
  /**
   * Largest error of a value of a LUT3D, in the scale of the file; default 5e-8. `exact`, and every other number
   * whatever is said here, writes what reads back as the same number.
   */
  readonly precision?: number | 'exact'
  /**
   * By whose rules; default that of the list's `version`. `both`: SMPTE's edition in a form that readers of version 3 take
   * as well.
   */
  readonly generation?: ClfGeneration | 'both'
}

/**
 * A process list as a Common LUT Format file.
 *
 * @throws IsochipError `lut-limits` for a number that is not finite, and for what its generation does not have.
 */
export function writeClf(list: ProcessList, options: ClfWriteOptions = {}): string {
  const generation = options.generation ?? generationOf(list.version)
  const lines = [
    '<?xml version="1.0" encoding="UTF-8"?>',
    ...heading(list, generation),
    ...(list.descriptions ?? []).map((text) => indent(leaf('Description', {}, escapeXml(text)))),
  ]
  if (list.inputDescriptor !== undefined) {
    lines.push(indent(leaf('InputDescriptor', {}, escapeXml(list.inputDescriptor))))
  }
  if (list.outputDescriptor !== undefined) {
    lines.push(indent(leaf('OutputDescriptor', {}, escapeXml(list.outputDescriptor))))
  }
  if (list.profile !== undefined) lines.push(...profileInfo(list.profile).map(indent))
  let depth: BitDepth = list.nodes[0]?.inBitDepth ?? '32f'
  for (const node of list.nodes) {
    const inBitDepth = node.inBitDepth ?? depth
    const outBitDepth = node.outBitDepth ?? '32f'
    if (inBitDepth !== depth) {
      throw new IsochipError(
        'lut-limits',
        `${node.type} takes ${inBitDepth}, but the node before ends in ${depth}`,
      )
    }
    depth = outBitDepth
    checkNode(node, generation)
    const { own, body } = content(node, inBitDepth, outBitDepth, options, generation)
    const descriptions = (node.descriptions ?? []).map((text) => leaf('Description', {}, escapeXml(text)))
    lines.push(
      indent(open(node.type, { id: node.id, name: node.name, inBitDepth, outBitDepth, ...own })),
      ...[...descriptions, ...body].map((line) => indent(indent(line))),
      indent(`</${node.type}>`),
    )
  }
  return `${[...lines, '</ProcessList>'].join('\n')}\n`
}

/** The opening tag, and the element that identifies a file of SMPTE's. */
function heading(list: ProcessList, generation: ClfGeneration | 'both'): string[] {
  const { id, name, inverseOf, uuid = uuidOfName(id) } = list
  const rest = { name, inverseOf }
  const tag = (attributes: Attributes) => open('ProcessList', { ...attributes, ...rest })
  const idElement = indent(leaf('Id', {}, escapeXml(uuid)))
  switch (generation) {
    case '2':
      return [tag({ id, compCLFversion: '2.0' })]
    case '3':
      return [tag({ xmlns: 'urn:AMPAS:CLF:v3.0', id, compCLFversion: '3.0' })]
    case 'st2136-1':
      return [tag({ xmlns: smpteNamespace, compCLFversion: smpteVersion }), idElement]
    case 'both':
      return [tag({ xmlns: smpteNamespace, id: uuid, compCLFversion: '3' }), idElement]
  }
}

function profileInfo({ input, output }: LiveProfile): string[] {
  const signal = (name: string, of: SignalCharacteristics) => {
    const texts = characteristicsElements.flatMap(([element, key]) => {
      const text = of[key]
      return text === undefined ? [] : [indent(leaf(element, {}, escapeXml(text)))]
    })
    return texts.length === 0 ? [] : [open(name, { xmlns: liveNamespace }), ...texts, `</${name}>`]
  }
  return [
    '<Info>',
    ...[
      leaf('Profile', {}, liveProfileName),
      ...signal('InputCharacteristics', input),
      ...signal('OutputCharacteristics', output),
    ].map(indent),
    '</Info>',
  ]
}

function checkNode(node: ProcessNode, generation: ClfGeneration | 'both'): void {
  const fail = (message: string): never => {
    throw new IsochipError('lut-limits', `${node.type}: ${message}`)
  }
  if (generation === '2') {
    if (node.type === 'Exponent' || node.type === 'Log') fail('not part of version 2 of the format')
  } else if ('indexMap' in node || 'indexMaps' in node) {
    fail('an IndexMap is not part of version 3 of the format; a Range does it')
  }
  if (node.type === 'Range') {
    const [low, high] = [node.minIn !== undefined, node.maxIn !== undefined]
    if (low !== high && (node.minIn !== node.minOut || node.maxIn !== node.maxOut)) {
      fail('with one pair of values its input and its output must be the same')
    }
  }
}

type Attributes = Readonly<Record<string, string | undefined>>

/** Attributes and child lines of a node, scaled to its bit depths. */
function content(
  node: ProcessNode,
  inBitDepth: BitDepth,
  outBitDepth: BitDepth,
  { precision = 5e-8 }: ClfWriteOptions,
  generation: ClfGeneration | 'both',
): { own: Attributes; body: string[] } {
  const into = depthScale(inBitDepth)
  const out = depthScale(outBitDepth)
  switch (node.type) {
    case 'Matrix': {
      const moved = node.offset.some((x) => x !== 0)
      const rows = node.matrix.map((row, r) => [
        ...row.map((x) => (x * out) / into),
        ...(moved ? [node.offset[r as 0 | 1 | 2] * out] : []),
      ])
      return {
        own: {},
        body: array((moved ? '3 4' : '3 3') + (generation === '2' ? ' 3' : ''), rows.map(numbers)),
      }
    }
    case 'Range': {
      const pairs = [
        ['minInValue', node.minIn, into],
        ['maxInValue', node.maxIn, into],
        ['minOutValue', node.minOut, out],
        ['maxOutValue', node.maxOut, out],
      ] as const
      const body = pairs.flatMap(([name, value, scale]) =>
        value === undefined ? [] : [leaf(name, {}, number(value * scale))],
      )
      return { own: { style: node.style }, body }
    }
    case 'ASC_CDL':
      return {
        own: { style: node.style },
        body: [
          '<SOPNode>',
          indent(leaf('Slope', {}, numbers(node.slope))),
          indent(leaf('Offset', {}, numbers(node.offset))),
          indent(leaf('Power', {}, numbers(node.power))),
          '</SOPNode>',
          '<SatNode>',
          indent(leaf('Saturation', {}, number(node.saturation))),
          '</SatNode>',
        ],
      }
    case 'Exponent':
      return { own: { style: node.style }, body: perChannel('ExponentParams', node.channels) }
    case 'Log': {
      const plain = !node.style.includes('To')
      return { own: { style: node.style }, body: plain ? [] : perChannel('LogParams', node.channels) }
    }
    case 'LUT1D': {
      const { table, columns, length, halfDomain, rawHalfs } = node
      checkFinite(table, 'LUT1D')
      const single = table instanceof Float32Array
      const text = (x: number) =>
        rawHalfs === true ? String(nearestHalf(x)) : shortestDecimal(x * out, single)
      const rows = Array.from({ length }, (_, i) =>
        [...table.subarray(i * columns, (i + 1) * columns)].map(text).join(' '),
      )
      return {
        own: {
          interpolation: 'linear',
          halfDomain: halfDomain === true ? 'true' : undefined,
          rawHalfs: rawHalfs === true ? 'true' : undefined,
        },
        body: [
          ...(node.indexMap === undefined ? [] : [indexMap(node.indexMap, into)]),
          ...array(`${length} ${columns}`, rows),
        ],
      }
    }
    case 'LUT3D': {
      const { size, tableBlueFastest, interpolation, indexMaps = [] } = node
      checkFinite(tableBlueFastest, 'LUT3D')
      return {
        own: { interpolation },
        body: [
          ...indexMaps.map((map) => indexMap(map, into)),
          ...array(`${size} ${size} ${size} 3`, [rowsOfThree(tableBlueFastest, out, precision)]),
        ],
      }
    }
  }
}

function rowsOfThree(table: ArrayLike<number>, scale: number, precision: number | 'exact'): string {
  const bytes = new Uint8Array(table.length * 33)
  const decimals = precision === 'exact' ? 0 : decimalsFor(precision)
  const single = table instanceof Float32Array && scale === 1
  let at = 0
  for (let i = 0; i < table.length; i++) {
    const value = table[i]! * scale
    if (precision === 'exact') {
      const text = shortestDecimal(value, single)
      for (let c = 0; c < text.length; c++) bytes[at++] = text.charCodeAt(c)
    } else at = putDecimal(value, decimals, bytes, at)
    bytes[at++] = i % 3 === 2 ? 10 : 32
  }
  return utf8Text(bytes.subarray(0, at - 1))
}

function perChannel(name: string, channels: readonly (object | undefined)[]): string[] {
  const [r, g, b] = channels.map((p) => JSON.stringify(p))
  const one = (parameters: object | undefined, channel?: string): string[] => {
    if (parameters === undefined) return []
    const attributes = Object.entries(parameters)
      .filter(([, value]) => value !== undefined)
      .map(([key, value]) => [key, number(value as number)] as const)
    return [open(name, { channel, ...Object.fromEntries(attributes) }).replace(/>$/, '/>')]
  }
  if (r === g && g === b) return one(channels[0])
  return channels.flatMap((parameters, c) => one(parameters, 'RGB'[c]!))
}

function indexMap({ inputs, entries }: IndexMap, scale: number): string {
  const pairs = inputs.map((x, i) => `${number(x * scale)}@${entries[i]}`)
  return leaf('IndexMap', { dim: String(pairs.length) }, pairs.join(' '))
}

function array(dim: string, rows: readonly string[]): string[] {
  return [`<Array dim="${dim}">\n${rows.join('\n')}\n</Array>`]
}

function number(value: number): string {
  checkFinite([value], 'a parameter')
  return shortestDecimal(value, false)
}

function numbers(values: readonly number[]): string {
  return values.map(number).join(' ')
}

function checkFinite(values: ArrayLike<number>, name: string): void {
  const bad = firstNotFinite(values)
  if (bad >= 0) {
    throw new IsochipError('lut-limits', `${name}: value ${values[bad]}, expected a finite number`)
  }
}

function open(name: string, attributes: Attributes): string {
  const text = Object.entries(attributes).flatMap(([key, value]) =>
    value === undefined ? [] : [` ${key}="${escapeXml(value)}"`],
  )
  return `<${name}${text.join('')}>`
}

function leaf(name: string, attributes: Attributes, text: string): string {
  return `${open(name, attributes)}${text}</${name}>`
}

function indent(line: string): string {
  return `  ${line}`
}
