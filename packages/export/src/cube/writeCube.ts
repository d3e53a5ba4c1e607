import { IsochipError, type Warning } from '@isochip/core'
import { checkLut, type Lut } from '../lut/lut.ts'
import { joinBytes, utf8Bytes, utf8Text } from '../lut/text.ts'
import { cubeLimits } from './cubeLimits.ts'
import { decimalsFor, shortestDecimal } from './decimal.ts'
import { putLines } from './putLines.ts'

export interface CubeWriteOptions {
  /** Lines for the head of the file: what the LUT was made from and what it is not for. Long ones are wrapped. */
  readonly comments?: readonly string[]
  /**
   * Largest error of a written value, 1e-12…0.5; default 5e-7, a thirtieth of a 16-bit code. As few decimals as keep
   * it. `exact` writes what reads back as the same number.
   */
  readonly precision?: number | 'exact'
}

const chunkBytes = 1 << 18

/**
 * A 1D or 3D LUT as a `.cube` file, in pieces of about 256 kB.
 *
 * @throws IsochipError `lut-limits` for a LUT that is not sound, or has a shaper (the format has no place for one);
 *   `lut-syntax` for a title that cannot be written; `usage` for a precision out of bounds.
 */
export function* cubeChunks(lut: Lut, options: CubeWriteOptions = {}): Generator<Uint8Array, void> {
  const { comments = [], precision = 5e-7 } = options
  if (lut.kind === 'shaped') {
    throw new IsochipError('lut-limits', 'a LUT of a curve and a lattice has no place in a .cube file', {
      hint: 'write it as Common LUT Format, or bake it into one lattice',
    })
  }
  checkLut(lut)
  if (precision !== 'exact' && !(precision >= 1e-12 && precision <= 0.5)) {
    throw new IsochipError('usage', `precision is ${precision}, expected 1e-12…0.5 or "exact"`)
  }
  yield utf8Bytes(head(lut, comments))

  const table = lut.kind === 'lattice' ? lut.tableRedFastest : lut.table
  const decimals = precision === 'exact' ? precision : decimalsFor(precision)
  for (let from = 0; from < table.length; ) {
    const bytes = new Uint8Array(chunkBytes)
    const { next, end } = putLines(table, from, decimals, bytes)
    yield bytes.subarray(0, end)
    from = next
  }
}

/** A 1D or 3D LUT as the text of a `.cube` file. For sizes above 129 take `cubeChunks`. Throws as that does. */
export function writeCube(lut: Lut, options: CubeWriteOptions = {}): string {
  return utf8Text(joinBytes([...cubeChunks(lut, options)]))
}

/** What other readers may make of the file. */
export function cubeWarnings(lut: Lut): Warning[] {
  if (lut.kind === 'shaped') return []
  const unit = [0, 1, 2].every((c) => lut.domainMin[c] === 0 && lut.domainMax[c] === 1)
  if (unit) return []
  return [
    {
      code: 'cube-domain',
      message:
        `the domain is ${lut.domainMin.join(' ')} to ${lut.domainMax.join(' ')}; some programs read DOMAIN_MIN ` +
        'and DOMAIN_MAX in part or not at all, and then give other colours',
    },
  ]
}

function head(lut: Exclude<Lut, { kind: 'shaped' }>, comments: readonly string[]): string {
  const lines = comments.flatMap(wrap).map((line) => (line === '' ? '#' : `# ${line}`))
  if (lut.title !== undefined) {
    // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for
    const bad = /["\u0000-\u001f\u007f]/.exec(lut.title)
    if (bad !== null) {
      throw new IsochipError(
        'lut-syntax',
        `the title ${JSON.stringify(lut.title)} holds ${JSON.stringify(bad[0])}, which a .cube title cannot`,
      )
    }
    const line = `TITLE "${lut.title}"`
    if (utf8Bytes(line).length > cubeLimits.lineBytes) {
      throw new IsochipError('lut-limits', `the title is longer than a line of ${cubeLimits.lineBytes} bytes`)
    }
    lines.push(line)
  }
  lines.push(`${lut.kind === 'lattice' ? 'LUT_3D_SIZE' : 'LUT_1D_SIZE'} ${lut.size}`)
  const vector = (name: string, v: readonly number[]) =>
    lines.push(`${name} ${v.map((x) => shortestDecimal(x, false)).join(' ')}`)
  if (lut.domainMin.some((x) => x !== 0)) vector('DOMAIN_MIN', lut.domainMin)
  if (lut.domainMax.some((x) => x !== 1)) vector('DOMAIN_MAX', lut.domainMax)
  return `${lines.join('\n')}\n`
}

/** Lines of at most 80 characters, broken at spaces where there are any. */
function wrap(comment: string): string[] {
  return comment
    .split(/\r\n|\r|\n/)
    .flatMap((line) => line.match(/.{1,80}(?=\s|$)|.{1,80}/gs) ?? [''])
    .map((line) => line.trim())
}
