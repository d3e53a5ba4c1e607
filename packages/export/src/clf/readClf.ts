import { IsochipError, type Warning } from '@isochip/core'
import { utf8Text } from '../lut/text.ts'
import { clfLimits, clfNamespaces } from './clfLimits.ts'
import { ElementReader } from './elementReader.ts'
import type { ProcessList, ProcessNode } from './processList.ts'
import { nodeReaders, readNode } from './readNode.ts'
import { xmlTree } from './xmlTree.ts'

/**
 * The Common LUT Format, Academy S-2014-006 version 3 and SMPTE ST 2136-1:
 *
 *     <ProcessList xmlns="urn:AMPAS:CLF:v3.0" id="day-cross" compCLFversion="3.0">
 *       <Exponent inBitDepth="32f" outBitDepth="32f" style="basicFwd">
 *         <ExponentParams exponent="2.4"/>
 *       </Exponent>
 *       <Matrix inBitDepth="32f" outBitDepth="32f">
 *         <Array dim="3 4">1 0 0 0.01  0 1 0 0  0 0 1 0</Array>      offset in the fourth column
 *       </Matrix>
 *     </ProcessList>
 *
 * Traps: a 3D array runs blue-fastest; the numbers of Matrix, LUT and Range are scaled to the bit depths of their
 * node, those of Exponent, Log and ASC_CDL never are; Range clamps unless told otherwise; a LUT1D with halfDomain is
 * indexed by the bits of its input.
 */
export interface ClfFile {
  readonly list: ProcessList
  readonly warnings: readonly Warning[]
}

export interface ClfReadOptions {
  /** Name for messages. */
  readonly file?: string
}

const otherElements = ['Description', 'InputDescriptor', 'OutputDescriptor', 'Info']

/**
 * Reads a Common LUT Format file: all node types, styles and bit depths. What the standard forbids is refused, with
 * the element and the line.
 *
 * @throws IsochipError `lut-syntax`, `lut-limits`
 */
export function readClf(source: string | Uint8Array, options: ClfReadOptions = {}): ClfFile {
  const { file } = options
  if (source.length > clfLimits.fileBytes) {
    throw new IsochipError(
      'lut-limits',
      `the file has ${source.length} bytes, expected at most ${clfLimits.fileBytes}`,
      { place: file === undefined ? {} : { file } },
    )
  }
  const root = new ElementReader(xmlTree(typeof source === 'string' ? source : utf8Text(source), file), file)
  const { element } = root
  if (element.name !== 'ProcessList') root.fail('the root element, expected ProcessList')
  if (!(clfNamespaces as readonly string[]).includes(element.namespace)) {
    root.fail(`namespace "${element.namespace}" is none of this format`)
  }
  root.onlyAttributes(['id', 'name', 'compCLFversion', 'inverseOf'])
  const id = root.required('id')
  const version = readVersion(root)
  root.onlyChildren([...otherElements, ...Object.keys(nodeReaders)])

  const warnings: Warning[] = []
  const nodes: ProcessNode[] = []
  const ids = new Set<string>()
  for (const child of element.children) {
    if (otherElements.includes(child.name)) continue
    const reader = root.child(child)
    const node = readNode(reader)
    const before = nodes.at(-1)
    if (before !== undefined && before.outBitDepth !== node.inBitDepth) {
      reader.fail(`inBitDepth is ${node.inBitDepth}, but the node before ends in ${before.outBitDepth}`)
    }
    if (node.id !== undefined) {
      if (ids.has(node.id)) reader.fail(`id "${node.id}" a second time`)
      ids.add(node.id)
    }
    if ('indexMap' in node || 'indexMaps' in node) {
      const place = reader.childrenNamed('IndexMap')[0]!
      if (Number.parseInt(version, 10) >= 3)
        place.fail('not part of version 3 of the format; a Range does it')
      warnings.push({
        code: 'clf-index-map',
        message: `${child.name} has an IndexMap, which version 3 of the format has no more`,
        place: { ...(file === undefined ? {} : { file }), line: child.line },
      })
    }
    nodes.push(node)
  }
  if (nodes.length === 0) root.fail('no process node in it')

  const text = (name: string) => root.optional(name)?.element.text.trim()
  const descriptions = root.childrenNamed('Description').map((d) => d.element.text.trim())
  const optional = {
    name: root.attribute('name'),
    inverseOf: root.attribute('inverseOf'),
    inputDescriptor: text('InputDescriptor'),
    outputDescriptor: text('OutputDescriptor'),
    descriptions: descriptions.length === 0 ? undefined : descriptions,
  }
  const given = Object.fromEntries(Object.entries(optional).filter(([, value]) => value !== undefined))
  return { list: { id, version, ...given, nodes }, warnings }
}

/** Version 3 or older; ST 2136-1 says it by the namespace alone. */
function readVersion(root: ElementReader): string {
  const version =
    root.attribute('compCLFversion') ??
    (root.element.namespace.includes('2136-1') ? '3.0' : root.required('compCLFversion'))
  const found = /^(\d{1,3})(\.\d{1,3}){0,2}$/.exec(version)
  if (found === null || Number(found[1]) < 1 || Number(found[1]) > 3) {
    root.fail(`compCLFversion is "${version}", expected 1 to 3.0`)
  }
  return version
}
