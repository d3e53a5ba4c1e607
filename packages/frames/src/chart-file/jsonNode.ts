import { parse, type ValueNode } from '@humanwhocodes/momoa'
import type { ErrorCode } from '@isochip/core'
import { given, IsochipError } from '@isochip/core'

interface Document {
  readonly file: string
  readonly code: ErrorCode
  readonly hint: string
}

/** Levels: a chart file has five. The parser calls itself for each, and the stack has an end. */
const deepest = 100

/** Do so many brackets stay open? Those within texts count as well. */
function isDeep(text: string): boolean {
  let open = 0
  for (const letter of text) {
    if (letter === '[' || letter === '{') open++
    else if ((letter === ']' || letter === '}') && open > 0) open--
    if (open > deepest) return true
  }
  return false
}

/**
 * A value in a JSON text that knows where it stands, so that a fault is reported with line and column. Every
 * reader below throws an IsochipError of the document's code.
 */
export class JsonNode {
  readonly #node: ValueNode
  readonly #document: Document
  /** Path from the document's root, as in `patches[3].value`. Empty for the root. */
  readonly path: string

  private constructor(node: ValueNode, document: Document, path: string) {
    this.#node = node
    this.#document = document
    this.path = path
  }

  /** @throws IsochipError with `code` where the text is no JSON */
  static parse(text: string, file: string, code: ErrorCode, hint: string): JsonNode {
    if (isDeep(text))
      throw new IsochipError(code, 'not valid JSON: it is nested too deep', { hint, place: { file } })
    try {
      return new JsonNode(parse(text.replace(/^\uFEFF/, ''), { mode: 'json' }).body, { file, code, hint }, '')
    } catch (cause) {
      const { line, column, message } = cause as { line?: number; column?: number; message: string }
      const place = given({ file, line, column })
      throw new IsochipError(code, `not valid JSON: ${message.replace(/\s*\(\d+:\d+\)$/, '')}`, {
        hint,
        place,
        cause,
      })
    }
  }

  /** The fault, to be thrown: what was found and expected here. */
  fault(message: string, hint = this.#document.hint): IsochipError {
    const { line, column } = this.#node.loc.start
    const text = this.path === '' ? message : `${this.path}: ${message}`
    return new IsochipError(this.#document.code, text, {
      hint,
      place: { file: this.#document.file, line, column },
    })
  }

  get found(): string {
    const node = this.#node
    if (node.type === 'Object') return 'an object'
    if (node.type === 'Array') return `an array of ${node.elements.length}`
    return node.type === 'Null' ? 'null' : JSON.stringify('value' in node ? node.value : node.type)
  }

  get isObject(): boolean {
    return this.#node.type === 'Object'
  }

  /** Members by name. Unknown, doubled and missing names are faults. */
  object(known: readonly string[], required: readonly string[]): Record<string, JsonNode | undefined> {
    if (this.#node.type !== 'Object') throw this.fault(`${this.found} where an object is expected`)
    const members: Record<string, JsonNode> = {}
    for (const member of this.#node.members) {
      const name = member.name.type === 'String' ? member.name.value : member.name.name
      const value = new JsonNode(
        member.value,
        this.#document,
        this.path === '' ? name : `${this.path}.${name}`,
      )
      if (!known.includes(name)) throw value.fault(`no such field; known are ${known.join(', ')}`)
      if (Object.hasOwn(members, name)) throw value.fault('the field appears twice')
      members[name] = value
    }
    const missing = required.filter((name) => !Object.hasOwn(members, name))
    if (missing.length > 0) throw this.fault(`missing: ${missing.join(', ')}`)
    return members
  }

  array(length?: number): JsonNode[] {
    if (this.#node.type !== 'Array') throw this.fault(`${this.found} where an array is expected`)
    const { elements } = this.#node
    if (length !== undefined && elements.length !== length)
      throw this.fault(`${elements.length} values where ${length} are expected`)
    return elements.map((element, i) => new JsonNode(element.value, this.#document, `${this.path}[${i}]`))
  }

  string(): string {
    if (this.#node.type !== 'String') throw this.fault(`${this.found} where a text is expected`)
    return this.#node.value
  }

  number(accept: (value: number) => boolean, expected: string): number {
    if (this.#node.type !== 'Number') throw this.fault(`${this.found} where ${expected} is expected`)
    const { value } = this.#node
    if (!Number.isFinite(value) || !accept(value)) throw this.fault(`${value} where ${expected} is expected`)
    return value
  }

  oneOf<T extends string | number>(choices: readonly T[]): T {
    const node = this.#node
    const value = node.type === 'String' || node.type === 'Number' ? node.value : undefined
    const choice = choices.find((one) => one === value)
    if (choice === undefined) throw this.fault(`${this.found} where one of ${choices.join(', ')} is expected`)
    return choice
  }
}
