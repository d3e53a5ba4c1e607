import {
  decodeRgb,
  type EncodingSpec,
  encodeRgb,
  resolveEncoding,
  resolvePrimaries,
  resolveTransfer,
  type TransferSpec,
  transferNames,
  type Vec3,
} from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { thousandths } from './support/arbitraries.ts'
import { faultOf } from './support/faultOf.ts'

const rising = [0, 0.5, 1]

describe('resolveEncoding', () => {
  it('a name alone stands for the primaries of its standard and full range', () => {
    // BT.2100 has the primaries of BT.2020, IEC 61966-2-1 those of BT.709, ACEScc and ACEScct AP1.
    const primaries = Object.fromEntries(
      transferNames.map((name) => [name, resolveEncoding(name).spec.primaries]),
    )
    expect(primaries).toEqual({
      linear: 'bt709',
      bt709: 'bt709',
      bt2020: 'bt2020',
      bt1886: 'bt709',
      srgb: 'bt709',
      pq: 'bt2020',
      hlg: 'bt2020',
      acescc: 'ap1',
      acescct: 'ap1',
    })
    for (const name of transferNames) {
      expect(resolveEncoding(name).spec).toEqual({
        transfer: name,
        primaries: primaries[name],
        range: 'full',
      })
    }
  })

  it('what is given wins over what a name stands for, and nothing is left to defaults', () => {
    const encoding = resolveEncoding({ transfer: 'pq', primaries: 'p3-d65', range: 'narrow' })
    expect(encoding.spec).toEqual({ transfer: 'pq', primaries: 'p3-d65', range: 'narrow' })
    expect(encoding.primaries).toBe(resolvePrimaries('p3-d65'))
    expect(resolveEncoding({ transfer: { power: 2.2 } }).spec).toEqual({
      transfer: { power: 2.2 },
      primaries: 'bt709',
      range: 'full',
    })
  })

  it('says that channels are alike where they are, and not of a table', () => {
    const specs: TransferSpec[] = [
      ...transferNames,
      { power: 2.2 },
      { log: { linSideOffset: 0.01 } },
      { log: { linSideOffset: 0.01, linSideBreak: 0.005 } },
    ]
    for (const spec of specs) {
      const { channelsAlike, decode, encode } = resolveTransfer(spec)
      expect(channelsAlike, JSON.stringify(spec)).toBe(true)
      for (const value of [-0.2, 0.01, 0.4, 1.1])
        for (const c of [1, 2] as const)
          expect([decode(value, c), encode(value, c)]).toEqual([decode(value, 0), encode(value, 0)])
    }
    const light = [rising, [0, 0.3, 1], rising] as const
    expect(resolveTransfer({ table: { code: rising, light } }).channelsAlike).toBeUndefined()
  })

  it('codes and decodes channel by channel', () => {
    const light = [rising, [0, 0.3, 1], [0, 0.1, 1]] as const
    const encoding = resolveEncoding({ transfer: { table: { code: rising, light } } })
    expect(decodeRgb(encoding, [0.5, 0.5, 0.5])).toEqual([0.5, 0.3, 0.1])
    fc.assert(
      fc.property(thousandths(-500, 1500), (code) => {
        for (const [c, value] of encodeRgb(encoding, decodeRgb(encoding, code)).entries()) {
          expect(value).toBeCloseTo(code[c]!, 12)
        }
      }),
      { endOnFailure: true },
    )
  })
})

describe('a table', () => {
  it('is straight between its samples, and on past both ends', () => {
    const curve = [0, 0.1, 1]
    const { decode, encode } = resolveTransfer({ table: { code: rising, light: [curve, curve, curve] } })
    expect(decode(0.25, 0)).toBeCloseTo(0.05, 14)
    expect(decode(-0.5, 0)).toBeCloseTo(-0.1, 14)
    expect(decode(1.5, 0)).toBeCloseTo(1.9, 14)
    expect(encode(0.55, 0)).toBeCloseTo(0.75, 14)
  })
})

describe('encodings that are none', () => {
  const log = { base: 2, logSideSlope: 0.2, logSideOffset: 0.4, linSideSlope: 1, linSideOffset: 0.01 }
  const faults: readonly (readonly [string, EncodingSpec, string])[] = [
    ['an unknown name', 'rec708' as EncodingSpec, '"rec708"'],
    ['a name of Object’s own', 'toString' as EncodingSpec, '"toString"'],
    ['a power of zero', { transfer: { power: 0 } }, 'power is 0'],
    ['a power that is no number', { transfer: { power: Number.NaN } }, 'power is NaN'],
    [
      'a log parameter that is not finite',
      { transfer: { log: { ...log, linSideSlope: Number.NaN } } },
      'linSideSlope',
    ],
    [
      'a log parameter that is text',
      { transfer: { log: { ...log, base: '2' as unknown as number } } },
      'base',
    ],
    ['a log base of 1', { transfer: { log: { ...log, base: 1 } } }, 'base is 1'],
    ['a log base below 0', { transfer: { log: { ...log, base: -2 } } }, 'base is -2'],
    ['a log curve that falls', { transfer: { log: { ...log, logSideSlope: -0.2 } } }, 'falls'],
    ['a log curve that is flat', { transfer: { log: { ...log, linSideSlope: 0 } } }, 'falls'],
    ['a break below the pole', { transfer: { log: { ...log, linSideBreak: -0.02 } } }, 'linSideBreak'],
    [
      'a toe that falls',
      { transfer: { log: { ...log, linSideBreak: 0.01, linearSlope: -1 } } },
      'linearSlope is -1',
    ],
    ['one sample', { transfer: { table: { code: [0], light: [[0], [0], [0]] } } }, '1 code values'],
    [
      'codes that fall',
      { transfer: { table: { code: [0, 1, 0.5], light: [rising, rising, rising] } } },
      'number 3 is 0.5 after 1',
    ],
    [
      'light that stands still',
      { transfer: { table: { code: rising, light: [rising, [0, 0, 1], rising] } } },
      'green light values',
    ],
    [
      'light of another length',
      { transfer: { table: { code: rising, light: [rising, rising, [0, 1]] } } },
      '2 blue light values',
    ],
    [
      'a sample that is no number',
      { transfer: { table: { code: [0, Number.NaN, 1], light: [rising, rising, rising] } } },
      'number 2 is NaN',
    ],
  ]
  it.each(faults)('%s', (_, spec, found) => {
    const fault = faultOf(() => resolveEncoding(spec))
    expect(fault.code).toBe('encoding-unknown')
    expect(fault.message).toContain(found)
  })

  it.each([
    ['an unknown name', 'bt708'],
    ['primaries on a line', { red: [0.6, 0.3], green: [0.4, 0.3], blue: [0.2, 0.3], white: [0.3127, 0.329] }],
    [
      'a white without luminance',
      { red: [0.64, 0.33], green: [0.3, 0.6], blue: [0.15, 0.06], white: [0.3, 0] },
    ],
    [
      'a coordinate that is no number',
      { red: [0.64, Number.NaN], green: [0.3, 0.6], blue: [0.15, 0.06], white: [0.3127, 0.329] },
    ],
  ])('primaries: %s', (_, primaries) => {
    const spec = { transfer: 'linear', primaries } as unknown as EncodingSpec
    expect(faultOf(() => resolveEncoding(spec)).code).toBe('primaries-invalid')
  })
})

describe('transfer characteristics', () => {
  it('carry black and the diffuse white where linear light has them', () => {
    // Scene-referred and display-referred alike: 1 is the diffuse white. PQ at 203 cd/m², HLG at 75 % (BT.2408).
    const white: Record<string, number> = {
      pq: 0.580689,
      hlg: 0.75,
      acescc: 9.72 / 17.52,
      acescct: 9.72 / 17.52,
    }
    for (const name of transferNames) {
      expect(resolveTransfer(name).encode(1, 0), name).toBeCloseTo(white[name] ?? 1, 6)
      const back = decodeRgb(resolveEncoding(name), encodeRgb(resolveEncoding(name), [0, 1, 0.18] as Vec3))
      for (const [c, value] of [0, 1, 0.18].entries()) expect(back[c], name).toBeCloseTo(value, 9)
    }
  })
})
