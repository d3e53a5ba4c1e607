import { readdirSync, readFileSync } from 'node:fs'
import { IsochipError } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { readClf } from '../src/index.ts'

const folder = new URL('./fixtures/clf-reject/', import.meta.url)

/** Fault → line, element and message, code where it is not `lut-syntax`. */
const faults: Record<string, [line: number, message: string, code?: string]> = {
  'array-without-dim': [3, 'Array: attribute dim is missing'],
  'attribute-without-quotes': [1, 'not well-formed XML: unquoted attribute value'],
  'bit-depth-14i': [2, 'Matrix: inBitDepth is "14i", expected one of 8i, 10i, 12i, 16i, 16f, 32f'],
  'bit-depths-do-not-meet': [9, 'Matrix: inBitDepth is 32f, but the node before ends in 10i'],
  'cdl-empty': [2, 'ASC_CDL: SOPNode and SatNode are both missing'],
  'cdl-negative-slope': [4, 'Slope: 1 -1 1, expected not below 0'],
  'cdl-no-power': [3, 'SOPNode: Power is missing'],
  'cdl-power-zero': [6, 'Power: 1 1 0, expected above 0'],
  'cdl-reverse-of-slope-zero': [4, 'Slope: 1 0 1, expected above 0'],
  'cdl-saturation-negative': [3, 'SatNode: saturation is -1, expected not below 0'],
  'cdl-style': [2, 'ASC_CDL: style is "Sideways", expected one of Fwd, Rev, FwdNoClamp, RevNoClamp'],
  'dim-not-a-number': [3, 'Array: dim is "three", expected whole numbers'],
  doctype: [2, 'a document type declaration; a LUT must not have one'],
  entity: [3, 'not well-formed XML: undefined entity'],
  'exponent-channel-and-all': [3, 'ExponentParams: without a channel, beside others'],
  'exponent-channel-twice': [4, 'ExponentParams: a second one for channel R'],
  'exponent-channel-unknown': [3, 'ExponentParams: channel is "A", expected one of R, G, B'],
  'exponent-no-offset': [3, 'ExponentParams: attribute offset is missing'],
  'exponent-no-parameters': [2, 'Exponent: ExponentParams is missing'],
  'exponent-offset-in-basic': [3, 'ExponentParams: offset is not allowed in style basicFwd'],
  'exponent-offset-out-of-bounds': [3, 'ExponentParams: offset is 0.95, expected 0 to 0.9'],
  'exponent-out-of-bounds': [3, 'ExponentParams: exponent is 200, expected 0.01 to 100'],
  'exponent-style': [
    2,
    'Exponent: style is "basic", expected one of basicFwd, basicRev, basicMirrorFwd, basicMirrorRev, basicPassThruFwd, basicPassThruRev, monCurveFwd, monCurveRev, monCurveMirrorFwd, monCurveMirrorRev',
  ],
  'id-twice': [9, 'Matrix: id "m" a second time'],
  'index-map-falls': [3, 'IndexMap: the pairs must rise'],
  'index-map-no-pair': [3, 'IndexMap: "0", expected input@entry'],
  'index-map-dim-too-long': [3, 'IndexMap: dim is "2 3", expected one number'],
  'index-map-version-3': [3, 'IndexMap: not part of version 3 of the format; a Range does it'],
  'log-base-one': [3, 'LogParams: base is 1, expected above 0 and not 1'],
  'log-base-zero': [3, 'LogParams: base is 0, expected above 0 and not 1'],
  'log-break-below-pole': [3, 'LogParams: linSideBreak is -0.1, where the logarithm has no value'],
  'log-break-in-plain': [3, 'LogParams: attribute linSideBreak is not allowed here'],
  'log-no-break': [3, 'LogParams: attribute linSideBreak is missing'],
  'log-no-parameters': [2, 'Log: LogParams is missing'],
  'log-not-a-number': [3, 'LogParams: base is "two", expected a finite number'],
  'log-parameters-in-log10': [2, 'Log: LogParams is not allowed in style log10'],
  'log-slope-zero': [3, 'LogParams: a slope is 0'],
  'log-style': [
    2,
    'Log: style is "log", expected one of log10, antiLog10, log2, antiLog2, linToLog, logToLin, cameraLinToLog, cameraLogToLin',
  ],
  'lut1d-cubic': [2, 'LUT1D: interpolation is "cubic", expected one of linear'],
  'lut1d-dim-too-long': [3, 'Array: dim is "2 1 3", expected the length and 1 or 3'],
  'lut1d-half-domain-short': [3, 'Array: length is 2, expected 65536 with halfDomain'],
  'lut1d-one-entry': [3, 'Array: length is 1, expected 2 to 1048576', 'lut-limits'],
  'lut1d-raw-halfs-fraction': [3, 'Array: entry 1.5, expected a whole number from 0 to 65535 with rawHalfs'],
  'lut1d-two-columns': [3, 'Array: dim is "2 2", expected the length and 1 or 3'],
  'lut3d-interpolation': [2, 'LUT3D: interpolation is "cubic", expected one of trilinear, tetrahedral'],
  'lut3d-not-a-cube': [3, 'Array: dim is "2 2 3 3", expected N N N 3'],
  'lut3d-too-large': [3, 'Array: size is 999, expected 2 to 256', 'lut-limits'],
  'matrix-4-4': [3, 'Array: dim is "4 4", expected 3 3 or 3 4'],
  'matrix-nan': [5, 'Array: "nan" where a finite number should be'],
  'matrix-too-few': [3, 'Array: 8 numbers, expected 9'],
  'matrix-too-many': [6, 'Array: more than the 9 numbers that it should have'],
  'matrix-word': [6, 'Array: "one" is not a number'],
  'no-array': [2, 'Matrix: Array is missing'],
  'no-bit-depth': [2, 'Matrix: attribute outBitDepth is missing'],
  'no-id': [1, 'ProcessList: attribute id is missing'],
  'no-nodes': [1, 'ProcessList: no process node in it'],
  'no-version': [1, 'ProcessList: attribute compCLFversion is missing'],
  'not-xml': [2, 'not well-formed XML: text data outside of root node'],
  'other-namespace': [1, 'ProcessList: namespace "urn:example:other" is none of this format'],
  'other-root': [1, 'LUT: the root element, expected ProcessList'],
  'range-empty': [2, 'Range: neither a lower nor an upper pair of values'],
  'range-falls': [2, 'Range: maxInValue must be above minInValue'],
  'range-half-a-pair': [2, 'Range: minInValue and minOutValue go together'],
  'range-no-clamp-one-pair': [2, 'Range: style noClamp needs all four values'],
  'range-value-not-a-number': [3, 'minInValue: the value is "dark", expected a finite number'],
  'tag-not-closed': [3, 'not well-formed XML: unexpected close tag'],
  'too-deep': [1, 'elements are nested more than 64 deep', 'lut-limits'],
  'two-arrays': [8, 'Array: a second one in Matrix'],
  'unknown-attribute': [2, 'Matrix: attribute speed is not allowed here'],
  'unknown-child': [8, 'Row: not allowed in Matrix'],
  'unknown-node': [2, 'Gamma: not allowed in ProcessList'],
  'version-2-no-id': [1, 'ProcessList: attribute id is missing'],
  'version-4': [1, 'ProcessList: compCLFversion is "4.0", expected 1 to 3.0, or ST2136-1:2024'],
  'id-empty': [1, 'ProcessList: id is empty'],
  'node-id-empty': [2, 'Matrix: id is empty'],
  'id-element-in-version-3': [2, 'Id: not part of version 3 of the format'],
  'smpte-id-empty': [2, 'Id: it is empty'],
  'smpte-index-map': [3, 'IndexMap: not part of SMPTE ST 2136-1:2024; a Range does it'],
  'smpte-no-id': [1, 'ProcessList: neither an element Id nor an attribute id'],
  'smpte-later-edition': [
    1,
    'ProcessList: namespace "http://www.smpte-ra.org/ns/2136-1/2031" is of an edition that is not known here, expected 2024',
  ],
  'smpte-version-2': [
    1,
    'ProcessList: compCLFversion is "2.0", expected ST2136-1:2024 or 3 in this namespace',
  ],
  'smpte-node-of-other-namespace': [3, 'Matrix: namespace "urn:example:other" is not that of the file'],
  'version-3-other-namespace-inside': [2, 'Mark: namespace "urn:example:other" is not that of the file'],
  'private-dialect': [
    1,
    'ProcessList: version in place of compCLFversion: a private dialect of the format; save it as Common LUT Format',
  ],
  'half-domain-false': [2, 'LUT1D: halfDomain is "false", expected "true", or the attribute left out'],
  'raw-halfs-0': [2, 'LUT1D: rawHalfs is "0", expected "true", or the attribute left out'],
  'log-version-2': [2, 'Log: not part of version 2 of the format'],
  'exponent-version-2': [2, 'Exponent: not part of version 2 of the format'],
  'matrix-dim-too-long': [3, 'Array: dim is "3 3 3", expected 3 3 or 3 4'],
  'matrix-dim-too-long-version-2': [3, 'Array: dim is "3 3 3 3", expected 3 3 or 3 4, or 3 3 3 or 3 4 3'],
  'range-one-pair-shifts': [
    2,
    'Range: minInValue and minOutValue must be the same level where there are no upper values',
  ],
  'range-upper-pair-shifts': [
    2,
    'Range: maxInValue and maxOutValue must be the same level where there are no lower values',
  ],
  'range-falls-in-output': [2, 'Range: maxOutValue must not be below minOutValue'],
}

function hintOf(name: string): string | undefined {
  try {
    readClf(readFileSync(new URL(`${name}.clf`, folder)))
  } catch (error) {
    return (error as IsochipError).hint
  }
  return undefined
}

describe('the Common LUT Format reader refuses', () => {
  it('every file of the corpus is listed', () => {
    expect(readdirSync(folder).sort()).toEqual(
      Object.keys(faults)
        .map((name) => `${name}.clf`)
        .sort(),
    )
  })
  it.each(Object.entries(faults))('%s', (name, [line, message, code = 'lut-syntax']) => {
    const file = `${name}.clf`
    let caught: unknown
    try {
      readClf(readFileSync(new URL(file, folder)), { file })
    } catch (error) {
      caught = error
    }
    expect(caught).toBeInstanceOf(IsochipError)
    expect((caught as IsochipError).message).toBe(`${file}:${line}: ${message}`)
    expect(caught).toMatchObject({ code, place: { file, line } })
  })
  it.each([
    ['log-version-2', 'the Academy Common LUT Format, version 2, for Log'],
    ['version-2-no-id', 'the Academy Common LUT Format, version 2, for ProcessList'],
    ['range-one-pair-shifts', 'Academy S-2014-006, version 3, for Range'],
    ['half-domain-false', 'Academy S-2014-006, version 3, for LUT1D'],
    ['smpte-id-empty', 'SMPTE ST 2136-1:2024 for Id'],
    ['smpte-node-of-other-namespace', 'SMPTE ST 2136-1:2024 for Matrix'],
    ['smpte-later-edition', 'Academy S-2014-006 and SMPTE ST 2136-1:2024 for ProcessList'],
    ['no-version', 'Academy S-2014-006 and SMPTE ST 2136-1:2024 for ProcessList'],
    ['private-dialect', 'Academy S-2014-006 and SMPTE ST 2136-1:2024 for ProcessList'],
  ])('%s, by the document whose rule it is', (name, document) => {
    expect(hintOf(name)).toBe(`the file is read by the rules of ${document}`)
  })
  it('nothing without naming a document and an element of it, but what is no XML and what is too much for us', () => {
    for (const [name, [, message, code]] of Object.entries(faults)) {
      const ours = code === 'lut-limits' || /not well-formed XML|document type declaration/.test(message)
      const [element] = message.split(':')
      const rule = new RegExp(
        `^the file is read by the rules of (the Academy|Academy|SMPTE) .* for ${element}$`,
      )
      if (ours) expect(hintOf(name), name).toBeUndefined()
      else expect(hintOf(name), name).toMatch(rule)
    }
  })
  it('what is too large, before it is read', () => {
    expect(() => readClf({ length: 4e8 } as Uint8Array)).toThrow('the file has 400000000 bytes')
  })
  it.each([
    ['an array', (digits: string) => `<Array dim="3 3">${digits} 0 0 0 1 0 0 0 1</Array>`],
    [
      'an array, cut off by a letter',
      (digits: string) => `<Array dim="3 3">${digits}x 0 0 0 1 0 0 0 1</Array>`,
    ],
  ])('a number of 130,000 digits in %s', (_, array) => {
    const text = `<ProcessList id="x" compCLFversion="3.0"><Matrix inBitDepth="32f" outBitDepth="32f">${array('7'.repeat(130_000))}</Matrix></ProcessList>`
    expect(() => readClf(text)).toThrow('line 1: Array: a number of 130000 characters')
  })
  it('a number of 130,000 digits in an element or an attribute, with a short message', () => {
    const digits = `${'1'.repeat(130_000)}x`
    for (const node of [
      `<Range inBitDepth="32f" outBitDepth="32f"><minInValue>${digits}</minInValue><minOutValue>0</minOutValue></Range>`,
      `<Exponent inBitDepth="32f" outBitDepth="32f" style="basicFwd"><ExponentParams exponent="${digits}"/></Exponent>`,
    ]) {
      const text = `<ProcessList id="x" compCLFversion="3.0">${node}</ProcessList>`
      expect(() => readClf(text)).toThrow(/^line 1: [\w: ]+ has 130001 characters, expected a number$/)
    }
  })
  const long = 'x'.repeat(130_000)
  it.each([
    [
      'an IndexMap',
      `<LUT1D inBitDepth="32f" outBitDepth="32f"><IndexMap dim="2">0@0 ${long}@1</IndexMap><Array dim="2 1">0 1</Array></LUT1D>`,
    ],
    ['a dim', `<Matrix inBitDepth="32f" outBitDepth="32f"><Array dim="${long} 3">1</Array></Matrix>`],
    ['a style', `<Range inBitDepth="32f" outBitDepth="32f" style="${long}"/>`],
    ['the name of an element', `<${long}/>`],
    ['the name of an attribute', `<Range ${long}="1" inBitDepth="32f" outBitDepth="32f"/>`],
    [
      'an id',
      `<Matrix id="${long}" inBitDepth="32f" outBitDepth="32f"><Array dim="3 3">1 0 0 0 1 0 0 0 1</Array></Matrix>`.repeat(
        2,
      ),
    ],
  ])('130,000 letters as %s, with a message that can be read', (_, node) => {
    let message = ''
    try {
      readClf(`<ProcessList id="x" compCLFversion="2.0">${node}</ProcessList>`)
    } catch (error) {
      message = (error as Error).message
    }
    expect(message).toMatch(/^line 1: /)
    expect(message.length).toBeLessThan(400)
  })
  it('a short array that claims to be large, without reserving for it', () => {
    const before = process.memoryUsage().arrayBuffers
    const text =
      '<ProcessList id="x" compCLFversion="3.0"><LUT3D inBitDepth="32f" outBitDepth="32f">' +
      '<Array dim="256 256 256 3">0 0 0</Array></LUT3D></ProcessList>'
    expect(() => readClf(text)).toThrow('line 1: Array: 3 numbers, expected 50331648')
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(2e6)
  })
})
