import { describe, expect, it } from 'vitest'
import { instructions } from '../src/lineup/instructions.ts'
import { restsOn } from '../src/lineup/restsOn.ts'
import { followWords, outcomeWords } from '../src/lineup/roundWords.ts'
import {
  nothingToSet,
  onSetLines,
  onSetSentence,
  primariesSentence,
  settingDoubt,
} from '../src/onSetWords.ts'
import { fittedCamera, inventedShow } from './support/inventedShow.ts'

const camera = fittedCamera(inventedShow().setups[0]!, 'cross')
const turn = {
  exposure: 0.5,
  red: 1.1,
  blue: 0.9,
  matrix: { rg: 0.1, rb: 0, gr: 0, gb: 0, br: 0, bg: -0.05 },
  pedestal: [-0.02, 0, 0.004] as const,
}
const stages = [
  { group: 'pedestal', expected: 4 },
  { group: 'exposure', expected: 2.5 },
  { group: 'gains', expected: 1.2, filter: { mired: 12.4, tint: -2 } },
  { group: 'matrix', expected: 0.6 },
] as const
const white = { redOverGreen: 1.1, blueOverGreen: 0.9, mired: 12, tint: -2 }
const onSet = { ...camera.match.onSet, whiteBalance: white }
const set = (part: Partial<typeof camera.match> = {}) => ({
  ...camera,
  match: { ...camera.match, onSet, setting: { turn, stages, now: 6, expected: 0.6 }, ...part },
})

describe('on set', () => {
  it('gives the controls in their order, in their units, with what is expected after each', () => {
    expect(onSetLines(set()).map(({ what, say }) => `${what}: ${say}`)).toEqual([
      'pedestal: R −2.0, G +0.0, B +0.4 % of the signal; R −14, G +0, B +3 mV; R −20, G +0, B +4 10-bit codes; R −82, G +0, B +16 12-bit codes → ΔE00 4.00',
      'exposure: open 0.50 stop (+3.0 dB) → ΔE00 2.50',
      'white balance gains: R +10.0 % (+0.83 dB), B −10.0 % (−0.92 dB); as light: 12 mired warmer, 0.0020 Duv more magenta → ΔE00 1.20',
      'matrix: R-G −0.100, R-B +0.000, G-R +0.000, G-B +0.000, B-R +0.000, B-G +0.050 → ΔE00 0.60',
    ])
  })

  it('says so where nothing is worth setting, and where it was not worked out', () => {
    const nothing = set({ setting: { turn, stages: [], now: 0.4, expected: 0.4 } })
    expect(onSetSentence(nothing)).toBe('no adjustment needed')
    const { setting: _, ...match } = camera.match
    expect(nothingToSet({ ...camera, match })).toBe('not worked out')
    expect(onSetLines({ ...camera, match })).toEqual([])
  })

  it('gives no advice in a setup that borrows its match: what was to be set was for the light of the other', () => {
    const borrowed = { ...set(), borrowed: 'day' }
    expect(onSetLines(borrowed)).toEqual([])
    expect(onSetSentence(borrowed)).toBe(
      'shoot the chart in this setup: nobody has seen how the camera stands in it',
    )
  })

  it('says first where it rests on an encoding that is in doubt', () => {
    const encodingDoubt = {
      statistic: 3,
      declared: { mean: 2, leaveOneOut: 3 },
      alternatives: [],
      remedies: [],
    }
    expect(settingDoubt(set().match)).toBeUndefined()
    expect(onSetSentence(set({ encodingDoubt }))).toMatch(/^the encoding is in doubt, .*; pedestal: R/)
  })

  it('names the primaries that the match turns', () => {
    const primaries = [
      { name: 'red', hue: -3, saturation: 1.01 },
      { name: 'green', hue: 1, saturation: 0.9 },
      { name: 'blue', hue: 0, saturation: 1 },
    ] as const
    expect(primariesSentence({ ...camera.match.onSet, primaries })).toBe(
      'the match turns red hue −3.0°; green saturation −10.0 %',
    )
    expect(primariesSentence({ ...camera.match.onSet, primaries: [] })).toBe('the match leaves them')
  })
})

describe('how to follow a round', () => {
  it('lets be what is within tolerance, and says what each instruction gains or what it is to be set with', () => {
    expect(followWords(false)).toBe('Set them in this order, then shoot the chart again.')
    expect(followWords(true)).toContain('It may stay as it is')
    const turn = {
      exposure: 0.1,
      red: 1.02,
      blue: 0.98,
      matrix: { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 },
      pedestal: [0.01, 0.01, 0.01],
    } as const
    const steps = instructions(
      turn,
      [
        { group: 'pedestal', expected: 2.4, together: true },
        { group: 'exposure', expected: 1.5, gain: 0.5 },
        { group: 'gains', expected: 1.2, gain: 0.3, filter: { mired: 7.2, tint: -1.4 } },
      ],
      'full',
    )
    expect(steps.map((step, i) => outcomeWords(step, i + 1))).toEqual([
      'set it together with 2: by itself it makes it worse',
      'then ΔE00 1.50 is expected, 0.50 less',
      'then ΔE00 1.20 is expected, 0.30 less',
    ])
    expect(steps[2]!.lines.at(-1)).toBe('as light: 7 mired warmer, 0.0014 Duv more magenta')
  })

  it('says first that the encoding is in doubt, that a knee is on, that black may be either', () => {
    const spec = { transfer: 'bt709', primaries: 'bt709', range: 'full' } as const
    const doubt = {
      statistic: 3,
      declared: { mean: 3, leaveOneOut: 4 },
      alternatives: [{ encoding: { transfer: 'hlg', range: 'full' }, mean: 1 }],
      remedies: [],
    } as const
    const words = restsOn({ encodingDoubt: doubt, grey: { knee: 0.041, black: 'either' } }, spec)
    expect(words).toHaveLength(3)
    expect(words[0]).toMatch(/^First see to the encoding: bt709 in full range .* more like hlg in full range/)
    expect(words[1]).toContain('4.1 % of the signal')
    expect(words[2]).toContain('flare and pedestal look alike')
    expect(restsOn({}, spec)).toEqual([])
  })
})
