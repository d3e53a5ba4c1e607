import {
  type ErrorCode,
  IsochipError,
  type Place,
  placeText,
  pow,
  type Vec3,
  type Warning,
  type WarningCode,
} from '@isochip/core'
import { ByteNumbers } from '../lut/byteNumbers.ts'
import { type CurveLut, type LatticeLut, type Lut, type LutTable, lutLimits } from '../lut/lut.ts'
import { utf8Bytes, utf8Text } from '../lut/text.ts'
import { type CubeKeyword, cubeKeywords, keywordHints } from './cubeKeywords.ts'
import { cubeLimits } from './cubeLimits.ts'

/**
 * The `.cube` file, after the Cube LUT Specification 1.0:
 *
 *     # a comment
 *     TITLE "Harbour Kitchen, day"
 *     LUT_3D_SIZE 2
 *     DOMAIN_MIN 0 0 0
 *     DOMAIN_MAX 1 1 1
 *     0 0 0
 *     1 0 0         red runs fastest
 *     0 1 0
 *     …             2³ lines
 *
 * Traps: DOMAIN is the range of the input, not of the values; a title holds spaces; the exponent may be signed;
 * a 1D LUT has three numbers per line too; many files end their lines with CR LF, or start with a byte-order mark.
 */
export interface CubeFile {
  readonly lut: Lut
  /** The comment lines, without the `#`. */
  readonly comments: readonly string[]
  /** What the specification does not allow but was read all the same. */
  readonly warnings: readonly Warning[]
}

export interface CubeReadOptions {
  /** Name for messages. */
  readonly file?: string
  /** Size of the whole file where it is known: one over the limit is refused before it is read. */
  readonly byteLength?: number
  /** Default 1e9. */
  readonly maxBytes?: number
  /** Default `double`. `single` halves the memory. */
  readonly table?: 'double' | 'single'
}

interface Slip {
  count: number
  line: number
  readonly text: string
}

const LF = 10
const CR = 13
const TAB = 9
const SPACE = 32

/** Reads a `.cube` file in pieces of any size: `push` them, then `end`. Holds the table and one line, no more. */
export class CubeReader {
  readonly #options: CubeReadOptions
  readonly #slips = new Map<WarningCode, Slip>()
  readonly #comments: string[] = []
  readonly #numbers = new ByteNumbers(new Uint8Array(0))
  readonly #seen = new Map<CubeKeyword, number>()
  #rest = new Uint8Array(0)
  #line = 0
  #bytes = 0
  #commentBytes = 0
  #blankSeen = false
  #title: string | undefined
  #vectors: Partial<Record<CubeKeyword, readonly number[]>> = {}
  #curveSize = 0
  #latticeSize = 0
  #table: LutTable = new Float64Array(0)
  #filled = 0
  #wanted = 0

  /** @throws IsochipError `lut-limits` when `byteLength` is over the limit. */
  constructor(options: CubeReadOptions = {}) {
    this.#options = options
    if (options.byteLength !== undefined) this.#countBytes(options.byteLength)
    this.#bytes = 0
  }

  /** @throws IsochipError `lut-syntax`, `lut-limits`, with the line. */
  push(chunk: Uint8Array | string): void {
    const bytes = typeof chunk === 'string' ? utf8Bytes(chunk) : chunk
    this.#countBytes(bytes.length)
    let start = 0
    if (this.#rest.length > 0) {
      const end = bytes.indexOf(LF)
      const piece = end < 0 ? bytes : bytes.subarray(0, end)
      if (this.#rest.length + piece.length > cubeLimits.lineBytesRead) this.#tooLong()
      const joined = new Uint8Array(this.#rest.length + piece.length)
      joined.set(this.#rest)
      joined.set(piece, this.#rest.length)
      if (end < 0) {
        this.#rest = joined
        return
      }
      this.#rest = new Uint8Array(0)
      this.#readLine(joined, 0, joined.length)
      start = end + 1
    }
    for (;;) {
      const end = bytes.indexOf(LF, start)
      if (end < 0) break
      this.#readLine(bytes, start, end)
      start = end + 1
    }
    if (bytes.length - start > cubeLimits.lineBytesRead) this.#tooLong()
    this.#rest = bytes.slice(start)
  }

  /** @throws IsochipError `lut-syntax` when the file is not complete. */
  end(): CubeFile {
    if (this.#rest.length > 0) this.#readLine(this.#rest, 0, this.#rest.length)
    this.#rest = new Uint8Array(0)
    if (this.#wanted === 0) {
      if (this.#curveSize + this.#latticeSize === 0) {
        this.#fail('the file ends without LUT_1D_SIZE or LUT_3D_SIZE')
      }
      this.#startTable()
    }
    if (this.#filled < this.#wanted) {
      this.#fail(`the file ends after ${this.#filled / 3} rows of numbers, expected ${this.#wanted / 3}`, {
        hint: 'the file was cut short, or the size stated in it is wrong',
      })
    }
    return { lut: this.#lut(), comments: this.#comments, warnings: this.#warnings() }
  }

  #countBytes(more: number): void {
    this.#bytes += more
    const max = this.#options.maxBytes ?? cubeLimits.fileBytes
    if (this.#bytes > max) {
      this.#fail(`the file has more than ${max} bytes`, { code: 'lut-limits' })
    }
  }

  #tooLong(): never {
    this.#line++
    return this.#fail(`the line is longer than ${cubeLimits.lineBytesRead} bytes`, { code: 'lut-limits' })
  }

  #readLine(bytes: Uint8Array, start: number, end: number): void {
    this.#line++
    if (this.#line === 1) start = this.#skipMark(bytes, start, end)
    if (end - start > cubeLimits.lineBytes) {
      if (end - start > cubeLimits.lineBytesRead) {
        this.#line--
        this.#tooLong()
      }
      this.#slip('cube-long-line', `longer than ${cubeLimits.lineBytes} bytes`)
    }
    if (end > start && bytes[end - 1] === CR) {
      end--
      this.#slip('cube-crlf', 'ending with CR LF, where the specification has LF')
    }
    const from = this.#skipSpace(bytes, start, end)
    if (from === end) {
      this.#blankSeen = true
      return
    }
    if (from > start) this.#slip('cube-leading-space', 'starting with space')
    const first = bytes[from]!
    if (first < 32) {
      this.#fail(`byte 0x${first.toString(16).padStart(2, '0')} is not part of a text file`)
    }
    if (first === 35) this.#comment(bytes.subarray(from + 1, end))
    else if (this.#wanted > 0 && (first < 65 || first === 95)) this.#row(bytes, from, end)
    else if ((first >= 65 && first <= 90) || (first >= 97 && first <= 122)) {
      this.#keyword(bytes, from, end)
    } else {
      this.#startTable()
      this.#row(bytes, from, end)
    }
  }

  #skipMark(bytes: Uint8Array, start: number, end: number): number {
    const [a, b, c] = bytes.subarray(start, Math.min(end, start + 3))
    if ((a === 0xff && b === 0xfe) || (a === 0xfe && b === 0xff)) {
      this.#fail('the file is UTF-16 text, expected ASCII or UTF-8')
    }
    if (a !== 0xef || b !== 0xbb || c !== 0xbf) return start
    this.#slip('cube-bom', 'starting with a byte-order mark')
    return start + 3
  }

  #skipSpace(bytes: Uint8Array, from: number, end: number): number {
    let i = from
    for (; i < end; i++) {
      if (bytes[i] === TAB) this.#slip('cube-tab', 'with a tab, where the specification has spaces')
      else if (bytes[i] !== SPACE) break
    }
    return i
  }

  #comment(bytes: Uint8Array): void {
    this.#checkLineEnd(bytes)
    this.#commentBytes += bytes.length
    if (this.#commentBytes > cubeLimits.commentBytes) {
      this.#fail(`the comments have more than ${cubeLimits.commentBytes} bytes`, { code: 'lut-limits' })
    }
    this.#comments.push(utf8Text(bytes).trim())
  }

  #checkLineEnd(bytes: Uint8Array): void {
    if (bytes.includes(CR)) this.#fail('the lines end with CR alone, expected LF')
  }

  #keyword(bytes: Uint8Array, from: number, end: number): void {
    this.#checkLineEnd(bytes.subarray(from, end))
    const text = utf8Text(bytes.subarray(from, end))
    const [, word, space, restRaw] = /^(\S+)(\s*)(.*)$/s.exec(text)!
    if (/\t/.test(space!)) this.#slip('cube-tab', 'with a tab, where the specification has spaces')
    if (/\s$/.test(restRaw!)) this.#slip('cube-trailing-space', 'ending with space')
    const rest = restRaw!.trimEnd()
    if (!isKeyword(word!)) {
      if (/^(nan|inf|infinity)$/i.test(word!)) {
        this.#fail(`"${word}" stands where a number should: a LUT holds finite numbers only`)
      }
      if (this.#wanted > 0) this.#fail(`"${word}" stands where row ${this.#filled / 3 + 1} should`)
      const hint = keywordHints(word!)
      this.#fail(`keyword "${word}" is not known`, { hint })
    }
    if (this.#wanted > 0) this.#fail(`keyword ${word} after the first row of numbers`)
    const before = this.#seen.get(word)
    if (before !== undefined) this.#fail(`keyword ${word} a second time, first in line ${before}`)
    this.#seen.set(word, this.#line)
    if (this.#blankSeen) this.#slip('cube-blank-line', 'with a keyword after a blank line')
    this.#value(word, rest)
  }

  #value(word: CubeKeyword, rest: string): void {
    const { kind } = cubeKeywords[word]
    if (kind === 'title') {
      const quoted = /^"(.*)"$/.exec(rest)
      if (quoted === null && rest.includes('"')) this.#fail(`TITLE is ${rest}, expected it between two "`)
      if (quoted === null) this.#slip('cube-title-quotes', 'with a title that is not in double quotes')
      this.#title = quoted === null ? rest : quoted[1]!
      return
    }
    const values = rest === '' ? [] : rest.split(/\s+/)
    const count = kind === 'size' ? 1 : kind === 'vector' ? 3 : 2
    if (values.length !== count) {
      this.#fail(`${word} has ${values.length} values, expected ${count}`)
    }
    if (kind === 'size') {
      const { min, max } = word === 'LUT_3D_SIZE' ? lutLimits.latticeSize : lutLimits.curveSize
      const size = /^[0-9]+$/.test(values[0]!) ? Number(values[0]) : Number.NaN
      if (!(size >= min && size <= max)) {
        const code = Number.isNaN(size) ? 'lut-syntax' : 'lut-limits'
        this.#fail(`${word} is ${values[0]}, expected a whole number from ${min} to ${max}`, { code })
      }
      if (word === 'LUT_3D_SIZE') this.#latticeSize = size
      else this.#curveSize = size
      return
    }
    if (kind === 'range') {
      this.#slip('cube-input-range', `with ${word}, which the specification does not have`)
    }
    this.#vectors[word] = values.map((text) => this.#number(utf8Bytes(text), word))
  }

  #number(bytes: Uint8Array, name: string): number {
    const numbers = new ByteNumbers(bytes)
    const value = numbers.next(bytes.length)
    if (numbers.at !== bytes.length) this.#badNumber(bytes, 0, bytes.length, name)
    if (numbers.lowerExponent) this.#lowerExponent()
    this.#checkSize(value, name)
    return value
  }

  /** The keywords are complete: how many numbers follow, and do the keywords go together? */
  #startTable(): void {
    if (this.#curveSize + this.#latticeSize === 0) {
      this.#fail('numbers before LUT_1D_SIZE or LUT_3D_SIZE')
    }
    if (this.#curveSize > 0 && this.#latticeSize > 0) {
      this.#slipAt('cube-shaper', this.#seen.get('LUT_1D_SIZE')!, 'that puts a 1D LUT before the 3D LUT')
      if (this.#vectors.DOMAIN_MIN !== undefined || this.#vectors.DOMAIN_MAX !== undefined) {
        const line = this.#seen.get('DOMAIN_MIN') ?? this.#seen.get('DOMAIN_MAX')!
        this.#failAt(
          line,
          'a domain in a file with a 1D and a 3D LUT: which of the two it is for is not said',
        )
      }
    }
    for (const [range, size] of [
      ['LUT_1D_INPUT_RANGE', this.#curveSize],
      ['LUT_3D_INPUT_RANGE', this.#latticeSize],
    ] as const) {
      const line = this.#seen.get(range)
      if (line === undefined) continue
      if (size === 0) this.#failAt(line, `${range} in a file without such a LUT`)
      const domain = this.#seen.get('DOMAIN_MIN') ?? this.#seen.get('DOMAIN_MAX')
      if (domain !== undefined) this.#failAt(line, `${range} as well as a domain in line ${domain}`)
    }
    for (const lut of this.#domains()) {
      for (const c of [0, 1, 2] as const) {
        if (!(lut.max[c] > lut.min[c])) {
          const line = lut.keywords.map((word) => this.#seen.get(word) ?? 0)
          this.#failAt(
            Math.max(...line),
            `the domain of ${['red', 'green', 'blue'][c]} is ${lut.min[c]}…${lut.max[c]}, expected it to rise`,
          )
        }
      }
    }
    this.#wanted = 3 * (this.#curveSize + pow(this.#latticeSize, 3))
    // Room for what has come, doubled as more comes: a short file that claims a large LUT costs nothing.
    this.#table = this.#newTable(Math.min(this.#wanted, 3 * 40_000))
  }

  #newTable(length: number): LutTable {
    return this.#options.table === 'single' ? new Float32Array(length) : new Float64Array(length)
  }

  #row(bytes: Uint8Array, from: number, end: number): void {
    if (this.#filled === this.#wanted) {
      this.#fail(`more rows of numbers than the ${this.#wanted / 3} that the size asks for`)
    }
    if (this.#filled + 3 > this.#table.length) {
      const larger = this.#newTable(Math.min(this.#wanted, this.#table.length * 2))
      larger.set(this.#table)
      this.#table = larger
    }
    const numbers = this.#numbers
    numbers.bytes = bytes
    numbers.at = from
    let count = 0
    for (;;) {
      const start = numbers.at
      const value = numbers.next(end)
      const next = bytes[numbers.at]
      if (numbers.at === start || (numbers.at < end && next !== SPACE && next !== TAB)) {
        this.#badNumber(bytes, start, end, 'the row')
      }
      if (!(value <= cubeLimits.largest && value >= -cubeLimits.largest)) this.#checkSize(value, 'the row')
      if (count < 3) this.#table[this.#filled + count] = value
      count++
      if (numbers.at === end) break
      // One space is the rule; the loop is for the rest.
      numbers.at++
      if (next === TAB || bytes[numbers.at] === SPACE || bytes[numbers.at] === TAB || numbers.at === end) {
        numbers.at = this.#skipSpace(bytes, numbers.at - 1, end)
        if (numbers.at === end) {
          this.#slip('cube-trailing-space', 'ending with space')
          break
        }
      }
    }
    if (count !== 3) this.#fail(`${count} numbers in row ${this.#filled / 3 + 1}, expected 3`)
    if (numbers.lowerExponent) {
      numbers.lowerExponent = false
      this.#lowerExponent()
    }
    this.#filled += 3
  }

  #lowerExponent(): void {
    this.#slip('cube-lower-exponent', 'with an exponent written with a small e')
  }

  #checkSize(value: number, name: string): void {
    if (Math.abs(value) > cubeLimits.largest) {
      this.#fail(`a number in ${name} is beyond single precision (±${cubeLimits.largest.toPrecision(3)})`, {
        code: 'lut-limits',
      })
    }
  }

  #badNumber(bytes: Uint8Array, from: number, end: number, name: string): never {
    const word = utf8Text(bytes.subarray(from, end)).split(/\s/)[0]!
    if (/^[+-]?(nan|inf)/i.test(word)) {
      this.#fail(`"${word}" in ${name}: a LUT holds finite numbers only`)
    }
    return this.#fail(
      `"${word}" in ${name} is not a number`,
      word.includes(',') ? { hint: 'the decimal sign is a point; numbers are separated by spaces' } : {},
    )
  }

  #domains(): { min: Vec3; max: Vec3; keywords: CubeKeyword[] }[] {
    const vectors = this.#vectors
    const plain = { min: vectors.DOMAIN_MIN ?? [0, 0, 0], max: vectors.DOMAIN_MAX ?? [1, 1, 1] }
    const one = (size: number, word: 'LUT_1D_INPUT_RANGE' | 'LUT_3D_INPUT_RANGE') => {
      if (size === 0) return []
      const range = vectors[word]
      if (range === undefined) {
        const keywords: CubeKeyword[] = ['DOMAIN_MIN', 'DOMAIN_MAX']
        return [{ min: plain.min as unknown as Vec3, max: plain.max as unknown as Vec3, keywords }]
      }
      const [low, high] = range as [number, number]
      return [{ min: [low, low, low] as Vec3, max: [high, high, high] as Vec3, keywords: [word] }]
    }
    return [...one(this.#curveSize, 'LUT_1D_INPUT_RANGE'), ...one(this.#latticeSize, 'LUT_3D_INPUT_RANGE')]
  }

  #lut(): Lut {
    const domains = this.#domains()
    const title = this.#title === undefined ? {} : { title: this.#title }
    const curveNumbers = 3 * this.#curveSize
    const curve = (): CurveLut => ({
      kind: 'curve',
      ...title,
      size: this.#curveSize,
      domainMin: domains[0]!.min,
      domainMax: domains[0]!.max,
      table: this.#latticeSize > 0 ? this.#table.slice(0, curveNumbers) : this.#table,
    })
    const lattice = (): LatticeLut => ({
      kind: 'lattice',
      ...title,
      size: this.#latticeSize,
      domainMin: domains.at(-1)!.min,
      domainMax: domains.at(-1)!.max,
      tableRedFastest: curveNumbers > 0 ? this.#table.slice(curveNumbers) : this.#table,
    })
    if (this.#latticeSize === 0) return curve()
    if (this.#curveSize === 0) return lattice()
    return { kind: 'shaped', ...title, curve: curve(), lattice: lattice() }
  }

  #slip(code: WarningCode, text: string): void {
    this.#slipAt(code, this.#line, text)
  }

  #slipAt(code: WarningCode, line: number, text: string): void {
    const slip = this.#slips.get(code)
    if (slip === undefined) this.#slips.set(code, { count: 1, line, text })
    else slip.count++
  }

  #warnings(): Warning[] {
    return [...this.#slips].map(([code, { count, line, text }]) => ({
      code,
      message: count === 1 ? `a line ${text}` : `${count} lines ${text}; the first is line ${line}`,
      place: this.#place(line),
    }))
  }

  #place(line: number): Place {
    const { file } = this.#options
    return { ...(file === undefined ? {} : { file }), ...(line > 0 ? { line } : {}) }
  }

  #fail(message: string, more: { code?: ErrorCode; hint?: string | undefined } = {}): never {
    return this.#failAt(this.#line, message, more)
  }

  #failAt(line: number, message: string, more: { code?: ErrorCode; hint?: string | undefined } = {}): never {
    const place = this.#place(line)
    const where = place.file === undefined ? `line ${line}` : placeText(place)
    throw new IsochipError(more.code ?? 'lut-syntax', line > 0 ? `${where}: ${message}` : message, {
      place,
      hint: more.hint,
    })
  }
}

function isKeyword(word: string): word is CubeKeyword {
  return Object.hasOwn(cubeKeywords, word)
}
