import type { Vec3 } from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { halfTowardsZero, halfValue, nearestHalf } from '../src/clf/half.ts'
import {
  type BitDepth,
  bakeLattice,
  clfFromLut,
  latticeOfNode,
  lutTransform,
  type ProcessList,
  type ProcessNode,
  processListTransform,
  readClf,
  swapRedAndBlueOrder,
  writeClf,
} from '../src/index.ts'
import { latticeLuts } from './support/luts.ts'

const apply = (node: ProcessNode, rgb: Vec3) => processListTransform({ id: 'x', nodes: [node] })(rgb)
const close = (a: Vec3, b: Vec3, within = 1e-12) => {
  for (const c of [0, 1, 2]) expect(Math.abs(a[c]! - b[c]!)).toBeLessThan(within)
}
const text = (body: string, version = '3.0') =>
  `<ProcessList id="x" compCLFversion="${version}">${body}</ProcessList>`

describe('half floats', () => {
  it.each([
    // IEEE 754-2019, table 3.5 and clause 3.4: binary16.
    [0x0000, 0],
    [0x0001, 2 ** -24],
    [0x03ff, 1023 * 2 ** -24],
    [0x0400, 2 ** -14],
    [0x3555, 0.333251953125],
    [0x3c00, 1],
    [0xc000, -2],
    [0x7bff, 65504],
    [0x7c00, Number.POSITIVE_INFINITY],
  ])('0x%s', (bits, value) => expect(halfValue(bits)).toBe(value))
  it('every finite pattern comes back, and what lies between goes to its neighbours', () => {
    const wrong: number[] = []
    for (let bits = 0; bits < 0x7bff; bits++) {
      for (const half of [bits, bits | 0x8000]) {
        const value = halfValue(half)
        const between = value + (halfValue(half + 1) - value) * 0.25
        const back = value === 0 || halfTowardsZero(value) === half
        if (!back || halfTowardsZero(between) !== half || nearestHalf(between) !== half) wrong.push(half)
      }
    }
    expect(wrong).toEqual([])
  })
})

describe('nodes, by hand', () => {
  it('Range: the four cases of S-2014-006', () => {
    const range = { type: 'Range', style: 'clamp', minIn: 0.2, maxIn: 0.6, minOut: 0, maxOut: 1 } as const
    close(apply(range, [0.1, 0.4, 0.7]), [0, 0.5, 1])
    close(apply({ ...range, style: 'noClamp' }, [0.1, 0.4, 0.7]), [-0.25, 0.5, 1.25])
    close(apply({ type: 'Range', style: 'clamp', minIn: 0.1, minOut: 0.1 }, [0, 0.5, 2]), [0.1, 0.5, 2])
    close(apply({ type: 'Range', style: 'clamp', maxIn: 1, maxOut: 1 }, [-1, 0.5, 2]), [-1, 0.5, 1])
  })
  it('ASC_CDL: slope, offset, power, then saturation with 0.2126, 0.7152, 0.0722', () => {
    const cdl = {
      type: 'ASC_CDL',
      style: 'Fwd',
      slope: [2, 1, 1],
      offset: [0.1, 0, -0.1],
      power: [2, 1, 0.5],
      saturation: 0,
    } as const
    // (0.2·2+0.1)² = 0.25; 0.5; (0.59−0.1)^0.5 = 0.7 → luma 0.05315 + 0.3576 + 0.05054
    close(apply(cdl, [0.2, 0.5, 0.59]), [0.46129, 0.46129, 0.46129])
  })
  it('every Rev undoes its Fwd', () => {
    const grade = {
      slope: [1.2, 0.9, 1] as const,
      offset: [0.01, 0.02, 0] as const,
      power: [1.1, 0.9, 1] as const,
    }
    const positive = fc.double({ min: 0.2, max: 0.7, noNaN: true })
    fc.assert(
      fc.property(fc.tuple(positive, positive, positive), (rgb) => {
        const fwd = apply({ type: 'ASC_CDL', style: 'FwdNoClamp', ...grade, saturation: 0.8 }, rgb)
        close(apply({ type: 'ASC_CDL', style: 'RevNoClamp', ...grade, saturation: 0.8 }, fwd), rgb, 1e-9)
        for (const style of ['basic', 'basicMirror', 'basicPassThru'] as const) {
          const p = { exponent: 2.2 }
          const there = apply({ type: 'Exponent', style: `${style}Fwd`, channels: [p, p, p] }, rgb)
          close(apply({ type: 'Exponent', style: `${style}Rev`, channels: [p, p, p] }, there), rgb, 1e-9)
        }
        for (const style of ['monCurve', 'monCurveMirror'] as const) {
          const p = { exponent: 2.4, offset: 0.055 }
          const there = apply({ type: 'Exponent', style: `${style}Fwd`, channels: [p, p, p] }, rgb)
          close(apply({ type: 'Exponent', style: `${style}Rev`, channels: [p, p, p] }, there), rgb, 1e-9)
        }
      }),
    )
  })
  it('monCurve with 2.4 and 0.055 is the curve of IEC 61966-2-1 within its printed digits', () => {
    const p = { exponent: 2.4, offset: 0.055 }
    const f = (x: number) =>
      apply({ type: 'Exponent', style: 'monCurveFwd', channels: [p, p, p] }, [x, x, x])[0]
    for (let code = 0; code <= 255; code++) {
      const v = code / 255
      const printed = v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4
      expect(Math.abs(f(v) - printed)).toBeLessThan(1e-6)
    }
  })
  it('Log with three channels of different kinds', () => {
    const common = { logSideSlope: 0.25, logSideOffset: 0.4, linSideSlope: 1, linSideOffset: 0 }
    const node: ProcessNode = {
      type: 'Log',
      style: 'cameraLinToLog',
      channels: [
        { ...common, base: 10, linSideBreak: 0.01, linearSlope: 5 },
        undefined,
        { ...common, base: 2, linSideBreak: 0.5 },
      ],
    }
    // 0.4 + 0.25·log10(0.1) = 0.15; unchanged; 0.4 + 0.25·log2(4) = 0.9
    close(apply(node, [0.1, 0.3, 4]), [0.15, 0.3, 0.9])
    // below the breaks: log10(0.01) = −2 → −0.1 at the break, then slope 5; slope 0.25/(0.5·ln 2) at 0.15 − …
    close(apply(node, [0, 0.3, 0.5]), [-0.15, 0.3, 0.15])
  })
  it('Log of a line with a slope of its own, and back: S-2014-006, linToLog and logToLin', () => {
    const p = { base: 10, logSideSlope: 0.5, logSideOffset: 0.1, linSideSlope: 4, linSideOffset: 0.2 }
    const through = (style: 'linToLog' | 'logToLin', x: number) =>
      apply({ type: 'Log', style, channels: [p, p, p] }, [x, x, x])[1]
    // 0.5·log10(4·0.2 + 0.2) + 0.1 = 0.1, and 0.5·log10(4·2.45 + 0.2) + 0.1 = 0.6.
    for (const [light, log] of [
      [0.2, 0.1],
      [2.45, 0.6],
    ] as const) {
      expect(through('linToLog', light)).toBeCloseTo(log, 12)
      expect(through('logToLin', log)).toBeCloseTo(light, 12)
    }
  })
  it('LUT1D with a domain of halfs interpolates between halfs, and clamps at ±65504', () => {
    const table = Float64Array.from({ length: 65536 }, (_, i) =>
      (i & 0x7c00) === 0x7c00 ? 0 : halfValue(i) * 2,
    )
    const node: ProcessNode = { type: 'LUT1D', length: 65536, columns: 1, table, halfDomain: true }
    close(apply(node, [0.3, -1000.1, 1e-7]), [0.6, -2000.2, 2e-7])
    close(apply(node, [1e6, -1e6, Number.NaN]), [131008, -131008, 0])
  })
  it('an index map of more than two pairs', () => {
    const { list, warnings } = readClf(
      text(
        '<LUT1D inBitDepth="10i" outBitDepth="10i"><IndexMap dim="3">0@0 100@1 1023@3</IndexMap>' +
          '<Array dim="4 1">0 100 200 1023</Array></LUT1D>',
        '2.0',
      ),
    )
    expect(warnings).toMatchObject([{ code: 'clf-index-map' }])
    close(processListTransform(list)([50 / 1023, 100 / 1023, 2]), [50 / 1023, 100 / 1023, 1])
  })
})

describe('the order of a LUT3D', () => {
  it('blue runs fastest in the file', () => {
    const rows = ['0 0 0', '0 0 1', '0 1 0', '0 1 1', '1 0 0', '1 0 1', '1 1 0', '1 1 1']
    const { list } = readClf(
      text(
        `<LUT3D inBitDepth="32f" outBitDepth="32f"><Array dim="2 2 2 3">${rows.join('\n')}</Array></LUT3D>`,
      ),
    )
    close(processListTransform(list)([0.1, 0.5, 0.9]), [0.1, 0.5, 0.9])
  })
  it('swapped twice is as before, and once is not', () => {
    const lut = bakeLattice(([r]) => [r, 0, 0], { size: 3 })
    const swapped = swapRedAndBlueOrder(lut.tableRedFastest, 3)
    expect(swapped).not.toEqual(lut.tableRedFastest)
    expect(swapRedAndBlueOrder(swapped, 3)).toEqual(lut.tableRedFastest)
  })
  it('a lattice of any domain as a file is the same function', () => {
    const f = fc.double({ min: -3, max: 6, noNaN: true })
    fc.assert(
      fc.property(latticeLuts(), fc.tuple(f, f, f), (lut, rgb) => {
        const { list } = readClf(writeClf(clfFromLut(lut, 'x'), { precision: 'exact' }))
        close(processListTransform(list)(rgb), lutTransform(lut)(rgb), 1e-9)
      }),
    )
  })
})

const number = fc.double({ min: -8, max: 8, noNaN: true }).map((x) => x + 0)
const triple = fc.tuple(number, number, number)
const positive = fc.double({ min: 0.1, max: 4, noNaN: true })
const positives = fc.tuple(positive, positive, positive)
const nodes: fc.Arbitrary<ProcessNode> = fc.oneof(
  fc.record({
    type: fc.constant('Matrix' as const),
    matrix: fc.tuple(triple, triple, triple),
    offset: triple,
  }),
  fc.tuple(fc.constantFrom(1 as const, 3 as const), fc.array(number, { minLength: 6, maxLength: 6 })).map(
    ([columns, values]): ProcessNode => ({
      type: 'LUT1D',
      length: 6 / columns,
      columns,
      table: Float64Array.from(values),
    }),
  ),
  fc
    .tuple(
      fc.array(number, { minLength: 24, maxLength: 24 }),
      fc.constantFrom('trilinear' as const, 'tetrahedral' as const),
    )
    .map(
      ([values, interpolation]): ProcessNode => ({
        type: 'LUT3D',
        size: 2,
        tableBlueFastest: Float64Array.from(values),
        interpolation,
      }),
    ),
  fc.tuple(number, positive, number, positive, fc.constantFrom('clamp' as const, 'noClamp' as const)).map(
    ([a, w, b, v, style]): ProcessNode => ({
      type: 'Range',
      style,
      minIn: a,
      maxIn: a + w,
      minOut: b,
      maxOut: b + v,
    }),
  ),
  fc.record({
    type: fc.constant('ASC_CDL' as const),
    style: fc.constantFrom('Fwd' as const, 'Rev' as const, 'FwdNoClamp' as const, 'RevNoClamp' as const),
    slope: positives,
    offset: triple,
    power: positives,
    saturation: positive,
  }),
  positive.map((exponent): ProcessNode => {
    const p = { exponent }
    return { type: 'Exponent', style: 'basicMirrorFwd', channels: [p, undefined, p] }
  }),
  positive.map((slope): ProcessNode => {
    const p = {
      base: 10,
      logSideSlope: slope,
      logSideOffset: 0,
      linSideSlope: 1,
      linSideOffset: 0.5,
      linSideBreak: 0,
    }
    return { type: 'Log', style: 'cameraLogToLin', channels: [p, p, p] }
  }),
  fc
    .constantFrom('log10' as const, 'antiLog2' as const)
    .map((style): ProcessNode => ({ type: 'Log', style, channels: [undefined, undefined, undefined] })),
)
const depths: BitDepth[] = ['32f', '16f']

describe('write and read', () => {
  it('gives the same list, for float depths to the last digit', () => {
    fc.assert(
      fc.property(
        fc.array(nodes, { minLength: 1, maxLength: 5 }),
        fc.constantFrom(...depths),
        (chain, depth) => {
          const list: ProcessList = {
            id: 'a "b" <c> & d',
            name: 'Harbour Kitchen',
            version: '3.0',
            descriptions: ['one light only', 'ü < ö'],
            inputDescriptor: 'camera',
            outputDescriptor: 'BT.709',
            nodes: chain.map((node, i) => ({ ...node, id: `n${i}`, inBitDepth: depth, outBitDepth: depth })),
          }
          const back = readClf(writeClf(list, { precision: 'exact' }))
          expect(back.warnings).toEqual([])
          expect(back.list).toEqual(list)
        },
      ),
    )
  })
  it('integer depths give the same function', () => {
    fc.assert(
      fc.property(
        nodes,
        fc.constantFrom('8i' as const, '10i' as const, '12i' as const, '16i' as const),
        triple,
        (node, depth, rgb) => {
          const list: ProcessList = { id: 'x', nodes: [{ ...node, inBitDepth: depth, outBitDepth: depth }] }
          const back = readClf(writeClf(list, { precision: 'exact' })).list
          const [a, b] = [processListTransform(list)(rgb), processListTransform(back)(rgb)]
          for (const c of [0, 1, 2]) {
            if (Number.isFinite(a[c]!))
              expect(Math.abs(a[c]! - b[c]!)).toBeLessThan(1e-9 * Math.max(1, Math.abs(a[c]!)))
          }
        },
      ),
    )
  })
  it('never writes NaN or infinity', () => {
    const matrix = [
      [1, 0, 0],
      [0, Number.NaN, 0],
      [0, 0, 1],
    ] as const
    expect(() => writeClf({ id: 'x', nodes: [{ type: 'Matrix', matrix, offset: [0, 0, 0] }] })).toThrow(
      'value NaN, expected a finite number',
    )
    const table = Float64Array.of(0, Number.POSITIVE_INFINITY)
    expect(() => writeClf({ id: 'x', nodes: [{ type: 'LUT1D', length: 2, columns: 1, table }] })).toThrow(
      'LUT1D: value Infinity',
    )
  })
  it('reads the namespace of ST 2136-1, prefixes, comments and CDATA', () => {
    const { list } = readClf(
      '<c:ProcessList xmlns:c="http://www.smpte-ra.org/ns/2136-1/2024" id="x"><!-- a -->' +
        '<c:Matrix inBitDepth="32f" outBitDepth="32f"><c:Array dim="3 3"><![CDATA[2 0 0 0 2 0]]> 0 0 2</c:Array>' +
        '</c:Matrix></c:ProcessList>',
    )
    close(processListTransform(list)([0.1, 0.2, 0.3]), [0.2, 0.4, 0.6])
  })
  it('reads the style names of versions 1 and 2', () => {
    const sat = '<SatNode><Saturation>1</Saturation></SatNode>'
    const styles = ['v1.2_Fwd', 'noClampRev'].map((style) => {
      const node = `<ASC_CDL inBitDepth="32f" outBitDepth="32f" style="${style}">${sat}</ASC_CDL>`
      const [read] = readClf(text(node, '2.0')).list.nodes
      return read?.type === 'ASC_CDL' && read.style
    })
    expect(styles).toEqual(['Fwd', 'RevNoClamp'])
  })
  it('latticeOfNode turns the order', () => {
    const lut = bakeLattice(([r, g, b]) => [r, g / 2, b / 3], { size: 4 })
    const [node] = clfFromLut(lut, 'x').nodes
    expect(node?.type === 'LUT3D' && latticeOfNode(node).tableRedFastest).toEqual(lut.tableRedFastest)
  })
})

describe('generations', () => {
  const smpte = 'http://www.smpte-ra.org/ns/2136-1/2024'
  const uuid = 'urn:uuid:6ba7b810-9dad-41d1-80b4-00c04fd430c8'
  const swap =
    '<Matrix inBitDepth="32f" outBitDepth="32f"><Array dim="3 3">0 1 0 1 0 0 0 0 1</Array></Matrix>'
  const swapped = (source: string) => {
    const { list, warnings } = readClf(source)
    close(processListTransform(list)([0.1, 0.2, 0.3]), [0.2, 0.1, 0.3])
    return { list, warnings }
  }

  it.each([
    ['by its namespace alone', `<ProcessList xmlns="${smpte}"><Id>${uuid}</Id>${swap}</ProcessList>`],
    [
      'by its version as well',
      `<ProcessList xmlns="${smpte}" compCLFversion="ST2136-1:2024"><Id>${uuid}</Id>${swap}</ProcessList>`,
    ],
    [
      'with a prefix, and with elements of others beside',
      `<clf:ProcessList xmlns:clf="${smpte}" xmlns:ds="urn:example:signature"><clf:Id>${uuid}</clf:Id>` +
        `<ds:Signature><ds:Value>x</ds:Value></ds:Signature>` +
        `${swap.replaceAll('<', '<clf:').replaceAll('<clf:/', '</clf:')}</clf:ProcessList>`,
    ],
    [
      'for readers of version 3 as well',
      `<ProcessList xmlns="${smpte}" compCLFversion="3" id="${uuid}"><Id>${uuid}</Id>${swap}</ProcessList>`,
    ],
    [
      'with descriptors in two languages',
      `<ProcessList xmlns="${smpte}"><Id>${uuid}</Id><InputDescriptor language="en">camera</InputDescriptor>` +
        `<InputDescriptor language="de">Kamera</InputDescriptor>${swap}</ProcessList>`,
    ],
  ])('SMPTE ST 2136-1 %s', (_, source) => {
    const { list, warnings } = swapped(source)
    expect(warnings).toEqual([])
    expect(list).toMatchObject({ id: uuid, uuid })
  })

  it('an Id that is no UUID is said to be none, and read', () => {
    const { list, warnings } = swapped(`<ProcessList xmlns="${smpte}"><Id>day</Id>${swap}</ProcessList>`)
    expect(list.id).toBe('day')
    expect(warnings).toMatchObject([{ code: 'clf-id', place: { line: 1 } }])
  })

  it('an Id beside another id in a file for readers of either generation is told of', () => {
    const { warnings } = swapped(
      `<ProcessList xmlns="${smpte}" compCLFversion="3" id="day"><Id>${uuid}</Id>${swap}</ProcessList>`,
    )
    expect(warnings).toMatchObject([{ code: 'clf-id', message: expect.stringContaining('"day"') }])
  })

  it.each(['3', '3.0'])('version 3 as compCLFversion="%s", with its namespace or without', (version) => {
    for (const namespace of ['', ' xmlns="urn:AMPAS:CLF:v3.0"']) {
      const { list, warnings } = swapped(
        `<ProcessList${namespace} id="day" compCLFversion="${version}">${swap}</ProcessList>`,
      )
      expect(warnings).toEqual([])
      expect(list).toMatchObject({ id: 'day', version })
    }
  })

  it('version 2 has a third number of a matrix, and index maps with spaces', () => {
    swapped(text(swap.replace('"3 3"', '"3 3 3"'), '2.0'))
    const { list } = readClf(
      text(
        '<LUT1D inBitDepth="32f" outBitDepth="32f"><IndexMap dim="2">0.1 @ 0 0.8@1.0</IndexMap>' +
          '<Array dim="2 1">0 1</Array></LUT1D>',
        '2.0',
      ),
    )
    // (0.2 − 0.1) / 0.7, and so on.
    close(processListTransform(list)([0.2, 0.5, 0.9]), [1 / 7, 4 / 7, 1])
  })

  it('a curve may be longer than 65536', () => {
    const values = Array.from({ length: 70_001 }, (_, i) => i / 70_000).join(' ')
    const { list } = readClf(
      text(`<LUT1D inBitDepth="32f" outBitDepth="32f"><Array dim="70001 1">${values}</Array></LUT1D>`),
    )
    close(processListTransform(list)([0.123456, 0.5, 2]), [0.123456, 0.5, 1], 1e-9)
  })

  const list: ProcessList = {
    id: 'day, cross',
    nodes: [
      { type: 'Range', style: 'noClamp', minIn: 0, maxIn: 1, minOut: 0.0625, maxOut: 0.92 },
      { type: 'LUT1D', length: 3, columns: 1, table: Float64Array.of(0, 0.25, 1) },
    ],
  }
  it.each(['2', '3', 'st2136-1', 'both'] as const)(
    'what is written as %s comes back, and again',
    (generation) => {
      const once = readClf(writeClf(list, { generation }))
      expect(once.warnings).toEqual([])
      const rgb = [0.1, 0.5, 0.8] as const
      close(processListTransform(once.list)(rgb), processListTransform(list)(rgb))
      const again = writeClf(once.list, generation === 'both' ? { generation } : {})
      expect(again).toBe(writeClf(list, { generation }))
    },
  )

  it('names of different lists become different UUIDs of version 8 (RFC 9562)', () => {
    const ids = Array.from({ length: 500 }, (_, i) => {
      const written = readClf(writeClf({ ...list, id: `day ${i}` }, { generation: 'st2136-1' })).list.uuid!
      expect(written).toMatch(
        /^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/,
      )
      return written
    })
    expect(new Set(ids).size).toBe(500)
  })

  it('what a generation does not have is not written', () => {
    const log: ProcessNode = { type: 'Log', style: 'log10', channels: [undefined, undefined, undefined] }
    expect(() => writeClf({ id: 'x', nodes: [log] }, { generation: '2' })).toThrow(
      'Log: not part of version 2',
    )
    const shift: ProcessNode = { type: 'Range', style: 'clamp', minIn: 0.3, minOut: 0.1 }
    expect(() => writeClf({ id: 'x', nodes: [shift] })).toThrow('its input and its output must be the same')
  })
})
