import { readdirSync, readFileSync } from 'node:fs'
import { IsochipError } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { CubeReader, readCube } from '../src/index.ts'

const folder = new URL('./fixtures/cube-reject/', import.meta.url)

/** Fault → line, message without the place, code where it is not `lut-syntax`. */
const faults: Record<string, [line: number, message: string, code?: string]> = {
  empty: [0, 'the file ends without LUT_1D_SIZE or LUT_3D_SIZE'],
  'no-size': [2, 'numbers before LUT_1D_SIZE or LUT_3D_SIZE'],
  'only-comments': [2, 'the file ends without LUT_1D_SIZE or LUT_3D_SIZE'],
  'size-one': [2, 'LUT_3D_SIZE is 1, expected a whole number from 2 to 256', 'lut-limits'],
  'size-257': [1, 'LUT_3D_SIZE is 257, expected a whole number from 2 to 256', 'lut-limits'],
  'size-1d-65537': [1, 'LUT_1D_SIZE is 65537, expected a whole number from 2 to 65536', 'lut-limits'],
  'size-fraction': [1, 'LUT_3D_SIZE is 2.0, expected a whole number from 2 to 256'],
  'size-missing': [1, 'LUT_3D_SIZE has 0 values, expected 1'],
  'size-twice': [3, 'keyword LUT_3D_SIZE a second time, first in line 1'],
  'too-few-rows': [8, 'the file ends after 7 rows of numbers, expected 8'],
  'too-many-rows': [11, 'more rows of numbers than the 8 that the size asks for'],
  'two-numbers': [4, '2 numbers in row 3, expected 3'],
  'four-numbers': [4, '4 numbers in row 3, expected 3'],
  'one-number-1d': [2, '1 numbers in row 1, expected 3'],
  nan: [4, '"nan" in the row: a LUT holds finite numbers only'],
  'nan-first': [4, '"nan" stands where a number should: a LUT holds finite numbers only'],
  infinity: [4, '"-inf" in the row: a LUT holds finite numbers only'],
  'beyond-single': [4, 'a number in the row is beyond single precision (±3.40e+38)', 'lut-limits'],
  'decimal-comma': [4, '"0,5" in the row is not a number'],
  'hex-number': [4, '"0x10" in the row is not a number'],
  'half-exponent': [4, '"1E" in the row is not a number'],
  'word-in-rows': [4, '"row" stands where row 3 should'],
  'unknown-keyword': [2, 'keyword "GAMMA" is not known'],
  'lower-case-keyword': [1, 'keyword "lut_3d_size" is not known'],
  'video-range-keyword': [2, 'keyword "LUT_IN_VIDEO_RANGE" is not known'],
  'keyword-after-rows': [10, 'keyword DOMAIN_MAX after the first row of numbers'],
  'domain-two-numbers': [2, 'DOMAIN_MIN has 2 values, expected 3'],
  'domain-not-a-number': [2, '"zero" in DOMAIN_MIN is not a number'],
  'domain-falls': [2, 'the domain of green is 0…0, expected it to rise'],
  'domain-empty': [1, 'the domain of blue is 1…1, expected it to rise'],
  'domain-with-shaper': [
    3,
    'a domain in a file with a 1D and a 3D LUT: which of the two it is for is not said',
  ],
  'input-range-and-domain': [2, 'LUT_3D_INPUT_RANGE as well as a domain in line 3'],
  'input-range-without-lut': [1, 'LUT_1D_INPUT_RANGE in a file without such a LUT'],
  'title-open-quote': [1, 'TITLE is "Harbour, expected it between two "'],
  'utf-16': [1, 'the file is UTF-16 text, expected ASCII or UTF-8'],
  'carriage-returns-only': [1, 'the lines end with CR alone, expected LF'],
  'line-too-long': [1, 'the line is longer than 4096 bytes', 'lut-limits'],
  binary: [1, 'byte 0x00 is not part of a text file'],
}

function errorOf(read: () => unknown): IsochipError {
  try {
    read()
  } catch (error) {
    if (error instanceof IsochipError) return error
    throw error
  }
  throw new Error('read without an error')
}

describe('the .cube reader refuses', () => {
  it('every file of the corpus is listed', () => {
    expect(readdirSync(folder).sort()).toEqual(
      Object.keys(faults)
        .map((name) => `${name}.cube`)
        .sort(),
    )
  })
  it.each(Object.entries(faults))('%s', (name, [line, message, code = 'lut-syntax']) => {
    const bytes = readFileSync(new URL(`${name}.cube`, folder))
    const file = `${name}.cube`
    const whole = errorOf(() => readCube(bytes, { file }))
    expect(whole.message).toBe(line > 0 ? `${file}:${line}: ${message}` : message)
    expect(whole.place).toEqual(line > 0 ? { file, line } : { file })
    expect(whole.code).toBe(code)
    // In pieces of one byte it is the same fault in the same line.
    const pieces = errorOf(() => {
      const reader = new CubeReader({ file })
      for (const byte of bytes) reader.push(Uint8Array.of(byte))
      reader.end()
    })
    expect(pieces.message).toBe(whole.message)
  })
  it('a file that is too large, before it is read', () => {
    expect(errorOf(() => new CubeReader({ byteLength: 2 ** 31 }))).toMatchObject({
      code: 'lut-limits',
      message: 'the file has more than 1000000000 bytes',
    })
  })
})
