import { type ErrorCode, given, type Warning, type WarningCode } from '@isochip/core'
import { ByteNumbers } from '../../lut/byteNumbers.ts'
import { utf8Bytes } from '../../lut/text.ts'
import { clfLimits } from '../rules/clfLimits.ts'
import { failAt, type XmlElement } from './xmlTree.ts'

/** Attributes, children and numbers of one element, every fault with the element's name and line. */
export class ElementReader {
  readonly element: XmlElement
  readonly file: string | undefined
  /** What should be known, of this element and of those within. */
  readonly warnings: Warning[]
  /** The document by whose rules the file is read, once its generation is known. */
  readonly document: string | undefined

  constructor(element: XmlElement, file: string | undefined, warnings: Warning[] = [], document?: string) {
    this.element = element
    this.file = file
    this.warnings = warnings
    this.document = document
  }

  caution(code: WarningCode, message: string): void {
    const place = given({ file: this.file, line: this.element.line })
    this.warnings.push({ code, message, place })
  }

  fail(message: string, line = this.element.line, code: ErrorCode = 'lut-syntax'): never {
    const { document, element } = this
    // A limit is ours, and none of the format.
    const hint =
      document === undefined || code === 'lut-limits'
        ? {}
        : { hint: `the file is read by the rules of ${document} for ${element.name.slice(0, 60)}` }
    return failAt(this.file, line, `${element.name}: ${message}`, { code, ...hint })
  }

  attribute(name: string): string | undefined {
    return this.element.attributes.get(name)
  }

  /** The `id` attribute, which must not be empty. */
  id(): string | undefined {
    const id = this.attribute('id')
    if (id?.trim() === '') this.fail('id is empty')
    return id
  }

  required(name: string): string {
    return this.attribute(name) ?? this.fail(`attribute ${name} is missing`)
  }

  oneOf<T extends string>(name: string, values: readonly T[], value = this.required(name)): T {
    if (!(values as readonly string[]).includes(value)) {
      this.fail(`${name} is "${value}", expected one of ${values.join(', ')}`)
    }
    return value as T
  }

  /** A finite number; `undefined` where the attribute is not there. */
  number(name: string): number | undefined {
    const text = this.attribute(name)
    return text === undefined ? undefined : this.#finite(text.trim(), name)
  }

  requiredNumber(name: string): number {
    return this.number(name) ?? this.fail(`attribute ${name} is missing`)
  }

  /** `true`, or not there: the format has no other value (S-2014-006, LUT1D). */
  flag(name: string): boolean {
    const value = this.attribute(name)
    if (value !== undefined && value !== 'true') {
      this.fail(`${name} is "${value}", expected "true", or the attribute left out`)
    }
    return value === 'true'
  }

  onlyAttributes(allowed: readonly string[]): void {
    for (const name of this.element.attributes.keys()) {
      // Another vocabulary's attributes are its own business.
      if (!allowed.includes(name) && !name.includes(':')) this.fail(`attribute ${name} is not allowed here`)
    }
  }

  onlyChildren(allowed: readonly string[]): void {
    for (const child of this.element.children) {
      if (!allowed.includes(child.name)) {
        this.child(child).fail(`not allowed in ${this.element.name}`)
      }
    }
  }

  child(element: XmlElement): ElementReader {
    return new ElementReader(element, this.file, this.warnings, this.document)
  }

  childrenNamed(name: string): ElementReader[] {
    return this.element.children.filter((child) => child.name === name).map((child) => this.child(child))
  }

  /** The child of that name; not more than one. */
  optional(name: string): ElementReader | undefined {
    const [first, second] = this.childrenNamed(name)
    second?.fail(`a second one in ${this.element.name}`)
    return first
  }

  one(name: string): ElementReader {
    return this.optional(name) ?? this.fail(`${name} is missing`)
  }

  /** The element's text as one finite number. */
  value(): number {
    return this.#finite(this.element.text.trim(), 'the value')
  }

  /** The whole numbers of an attribute such as `dim="3 3"`. */
  counts(name: string): number[] {
    return this.required(name)
      .trim()
      .split(/\s+/)
      .map((text) =>
        /^[0-9]{1,9}$/.test(text) ? Number(text) : this.fail(`${name} is "${text}", expected whole numbers`),
      )
  }

  /**
   * `count` numbers from the text. A number that is not finite is refused, unless `any` lets it pass.
   */
  numbers(count: number, which: 'finite' | 'any' = 'finite'): Float64Array {
    const bytes = utf8Bytes(this.element.text)
    const reader = new ByteNumbers(bytes)
    // A number takes a byte and a space: a short text that claims a large array costs nothing.
    const out = new Float64Array(Math.min(count, Math.ceil(bytes.length / 2) + 1))
    let filled = 0
    const here = (at: number) => this.element.textLine + newLines(bytes, at)
    for (;;) {
      while (isSpace(bytes[reader.at])) reader.at++
      if (reader.at >= bytes.length) break
      const start = reader.at
      let value = reader.next(bytes.length)
      if (reader.at - start > clfLimits.digits) {
        this.fail(`a number of ${reader.at - start} characters`, here(start))
      }
      if (reader.at === start || (reader.at < bytes.length && !isSpace(bytes[reader.at]))) {
        const word = wordAt(bytes, start)
        if (!/^[+-]?(nan|inf|infinity)$/i.test(word)) this.fail(`"${word}" is not a number`, here(start))
        reader.at = start + word.length
        value = /nan/i.test(word) ? Number.NaN : word.startsWith('-') ? -Infinity : Infinity
      }
      if (filled === count) this.fail(`more than the ${count} numbers that it should have`, here(start))
      if (which === 'finite' && !Number.isFinite(value)) {
        this.fail(`"${wordAt(bytes, start)}" where a finite number should be`, here(start))
      }
      out[filled++] = value
    }
    if (filled < count) this.fail(`${filled} numbers, expected ${count}`)
    return out.subarray(0, count)
  }

  #finite(text: string, name: string): number {
    if (text.length > clfLimits.digits) this.fail(`${name} has ${text.length} characters, expected a number`)
    const value = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(text) ? Number(text) : Number.NaN
    return Number.isFinite(value) ? value : this.fail(`${name} is "${text}", expected a finite number`)
  }
}

function isSpace(byte: number | undefined): boolean {
  return byte === 32 || byte === 10 || byte === 13 || byte === 9
}

function newLines(bytes: Uint8Array, end: number): number {
  let lines = 0
  for (let i = 0; i < end; i++) if (bytes[i] === 10) lines++
  return lines
}

function wordAt(bytes: Uint8Array, start: number): string {
  let end = start
  while (end < bytes.length && !isSpace(bytes[end]) && end - start < 40) end++
  return String.fromCharCode(...bytes.subarray(start, end))
}
