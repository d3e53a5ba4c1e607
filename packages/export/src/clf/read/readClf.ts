import { given, IsochipError, type Warning } from '@isochip/core'
import { utf8Text } from '../../lut/text.ts'
import type { ProcessList, ProcessNode } from '../processList.ts'
import { clfLimits } from '../rules/clfLimits.ts'
import { documents, readGeneration, uuidUrn } from '../rules/generation.ts'
import { liveProfileFault, readLiveProfile } from '../rules/liveProfile.ts'
import { ElementReader } from './elementReader.ts'
import { nodeReaders, readNode } from './readNode.ts'
import { type XmlElement, xmlTree } from './xmlTree.ts'

/**
 * The Common LUT Format, Academy version 2, S-2014-006 version 3 and SMPTE ST 2136-1, each by its own rules:
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
 * indexed by the bits of its input. SMPTE's edition has an element Id in place of the attribute, may write prefixes, and
 * allows elements of other namespaces beside its own.
 */
export interface ClfFile {
  readonly list: ProcessList
  readonly warnings: readonly Warning[]
}

export interface ClfReadOptions {
  /** Name for messages. */
  readonly file?: string
}

const otherElements = ['Id', 'Description', 'InputDescriptor', 'OutputDescriptor', 'Info']

/**
 * Reads a Common LUT Format file: all node types, styles and bit depths. What the standard forbids is refused, with
 * the element and the line; the hint names the document whose rules are meant.
 *
 * @throws IsochipError `lut-syntax`, `lut-limits`
 */
export function readClf(source: string | Uint8Array, options: ClfReadOptions = {}): ClfFile {
  const { file } = options
  if (source.length > clfLimits.fileBytes) {
    throw new IsochipError(
      'lut-limits',
      `the file has ${source.length} bytes, expected at most ${clfLimits.fileBytes}`,
      { place: given({ file }) },
    )
  }
  const tree = xmlTree(typeof source === 'string' ? source : utf8Text(source), file)
  // Which rules hold is not known before the root is: those of all generations that are in force.
  const unknown = new ElementReader(
    tree,
    file,
    [],
    `${documents['3'].split(',')[0]} and ${documents['st2136-1']}`,
  )
  if (tree.name !== 'ProcessList') unknown.fail('the root element, expected ProcessList')
  const { generation, version } = readGeneration(unknown)
  const smpte = generation === 'st2136-1'
  const document = documents[generation]
  const whole = ownElements(new ElementReader(tree, file, [], document), smpte)
  const root = new ElementReader(whole, file, [], document)
  const { element } = root
  root.onlyAttributes(['id', 'name', 'compCLFversion', 'inverseOf'])
  const { warnings } = root
  const { id, uuid } = smpte ? readUuid(root, warnings) : { id: root.id() ?? root.required('id') }
  if (!smpte) root.childrenNamed('Id')[0]?.fail(`not part of version ${generation} of the format`)
  root.onlyChildren([...otherElements, ...Object.keys(nodeReaders)])

  const nodes: ProcessNode[] = []
  const ids = new Set<string>()
  for (const child of element.children) {
    if (otherElements.includes(child.name)) continue
    const reader = root.child(child)
    const node = readNode(reader, generation)
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
      if (generation !== '2')
        place.fail(`not part of ${smpte ? document : 'version 3 of the format'}; a Range does it`)
      warnings.push({
        code: 'clf-index-map',
        message: `${child.name} has an IndexMap, which version 3 of the format no longer has`,
        place: given({ file, line: child.line }),
      })
    }
    nodes.push(node)
  }
  if (nodes.length === 0) root.fail('no process node in it')

  // SMPTE's edition allows one per language: the first.
  const text = (name: string) =>
    (smpte ? root.childrenNamed(name)[0] : root.optional(name))?.element.text.trim()
  const info = root.childrenNamed('Info')[0]
  const profile = readLiveProfile(info)
  const fault = profile === undefined ? undefined : liveProfileFault(nodes)
  if (fault !== undefined) {
    warnings.push({
      code: 'clf-profile',
      message: `the file says that it keeps to the profile Live Broadcast LUT33 of SMPTE ST 2136-10, but ${fault}`,
      place: given({ file, line: info!.element.line }),
    })
  }
  const descriptions = root.childrenNamed('Description').map((d) => d.element.text.trim())
  const optional = {
    uuid,
    profile,
    name: root.attribute('name'),
    inverseOf: root.attribute('inverseOf'),
    inputDescriptor: text('InputDescriptor'),
    outputDescriptor: text('OutputDescriptor'),
    descriptions: descriptions.length === 0 ? undefined : descriptions,
  }
  return { list: { id, version, ...given(optional), nodes }, warnings }
}

/** The tree without elements of other namespaces, which SMPTE's edition allows; nothing that looks like a node goes. */
function ownElements(reader: ElementReader, others: boolean): XmlElement {
  const { element } = reader
  const children = element.children.flatMap((child) => {
    const of = reader.child(child)
    if (child.namespace !== element.namespace) {
      if (others && !Object.hasOwn(nodeReaders, child.name)) return []
      of.fail(`namespace "${child.namespace}" is not that of the file`)
    }
    // What stands in an Info is anybody's.
    return [child.name === 'Info' ? child : ownElements(of, others)]
  })
  return { ...element, children }
}

/** Identity by SMPTE ST 2136-1: an element, beside which an attribute may stand. */
function readUuid(root: ElementReader, warnings: Warning[]): { id: string; uuid?: string } {
  const element = root.optional('Id')
  const attribute = root.id()
  const text = element?.element.text.trim()
  if (text === '') element!.fail('it is empty')
  const id = attribute ?? text ?? root.fail('neither an element Id nor an attribute id')
  if (element === undefined || text === undefined) return { id }
  if (!uuidUrn.test(text)) {
    warnings.push({
      code: 'clf-id',
      message: `Id is "${text.slice(0, 60)}", where the format wants urn:uuid: and a UUID`,
      place: given({ file: root.file, line: element.element.line }),
    })
    return { id }
  }
  if (attribute !== undefined && attribute !== text && root.attribute('compCLFversion')?.startsWith('3')) {
    warnings.push({
      code: 'clf-id',
      message: `id is "${attribute.slice(0, 60)}" and Id is "${text}", which are the same in a file for readers of version 3`,
      place: given({ file: root.file, line: element.element.line }),
    })
  }
  return { id, uuid: text }
}
