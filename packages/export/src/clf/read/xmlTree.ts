import { type ErrorCode, given, IsochipError, isIsochipError, placeText } from '@isochip/core'
import { SaxesParser } from 'saxes'
import { clfLimits } from '../rules/clfLimits.ts'

/** An XML element with the place where it starts. Comments and processing instructions are left out. */
export interface XmlElement {
  /** Without prefix. */
  readonly name: string
  readonly namespace: string
  /** By name as written; namespace declarations left out. */
  readonly attributes: ReadonlyMap<string, string>
  readonly children: readonly XmlElement[]
  /** All text directly inside. */
  readonly text: string
  readonly line: number
  /** Line in which the text starts. */
  readonly textLine: number
}

/** A message may hold what the file has at a place: of that the beginning and the end say enough. */
const shortened = (message: string): string =>
  message.length <= 400 ? message : `${message.slice(0, 200)}…${message.slice(-160)}`

/** Throws an `IsochipError` for the line. */
export function failAt(
  file: string | undefined,
  line: number,
  message: string,
  more: { code?: ErrorCode; hint?: string } = {},
): never {
  const place = given({ file, line })
  const where = file === undefined ? `line ${line}` : placeText(place)
  const { code = 'lut-syntax', hint } = more
  throw new IsochipError(code, `${where}: ${shortened(message)}`, { hint, place })
}

interface Growing extends XmlElement {
  readonly children: Growing[]
  text: string
  textLine: number
}

/**
 * XML text → tree, strictly. Document type declarations are refused, and with them every entity but the five of XML
 * itself: a LUT has no use for them, and they can read other files or grow without bound.
 *
 * @throws IsochipError `lut-syntax`, `lut-limits`
 */
export function xmlTree(text: string, file?: string): XmlElement {
  const parser = new SaxesParser({ xmlns: true })
  const open: Growing[] = []
  let root: Growing | undefined
  let elements = 0
  let startLine = 1
  const fail = (message: string, code: ErrorCode = 'lut-syntax'): never =>
    failAt(file, parser.line, message, { code })
  parser.on('doctype', () => {
    fail('a document type declaration; a LUT must not have one')
  })
  parser.on('opentagstart', () => {
    startLine = parser.line
  })
  parser.on('opentag', (tag) => {
    elements++
    if (open.length >= clfLimits.depth)
      fail(`elements are nested more than ${clfLimits.depth} deep`, 'lut-limits')
    if (elements > clfLimits.elements) fail(`more than ${clfLimits.elements} elements`, 'lut-limits')
    const attributes = new Map<string, string>()
    for (const { name, prefix, value } of Object.values(tag.attributes)) {
      if (prefix !== 'xmlns' && name !== 'xmlns') attributes.set(name, value)
    }
    const element: Growing = {
      name: tag.local,
      namespace: tag.uri,
      attributes,
      children: [],
      text: '',
      line: startLine,
      textLine: parser.line,
    }
    const parent = open.at(-1)
    if (parent === undefined) root = element
    else parent.children.push(element)
    open.push(element)
  })
  const addText = (piece: string) => {
    const element = open.at(-1)
    if (element !== undefined) element.text += piece
  }
  parser.on('text', addText)
  parser.on('cdata', addText)
  parser.on('closetag', () => {
    open.pop()
  })
  try {
    parser.write(text).close()
  } catch (error) {
    const found = /^\d+:\d+: (.*?)\.?$/s.exec(error instanceof Error ? error.message : '')
    if (isIsochipError(error) || found === null) throw error
    // Without a handler of its own the parser throws, with the place before the message. (A handler for that too
    // would be one property more than the engine keeps in a fast object: large files took several times as long.)
    fail(`not well-formed XML: ${found[1]}`)
  }
  return root ?? fail('no element in the file')
}
