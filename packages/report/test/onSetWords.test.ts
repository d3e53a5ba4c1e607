import { describe, expect, it } from 'vitest'
import { onSetLines, onSetSentence } from '../src/onSetWords.ts'

const nothing = {
  exposure: 0,
  whiteBalance: { redOverGreen: 1, blueOverGreen: 1, mired: 0, tint: 0 },
  blackBalance: [0, 0, 0] as const,
  matrix: { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 },
  primaries: [],
}

describe('on set', () => {
  it('opens for a positive exposure, closes for a negative one, and is silent below a twentieth of a stop', () => {
    const say = (exposure: number) => onSetLines({ ...nothing, exposure })[0]!.say
    expect([say(0.5), say(-1.25), say(0.04)]).toEqual(['open 0.50 stop', 'close 1.25 stops', 'on target'])
  })

  it('has warmer for positive mired and greener for positive Duv', () => {
    const say = (mired: number, tint: number) =>
      onSetLines({ ...nothing, whiteBalance: { redOverGreen: 1.1, blueOverGreen: 0.9, mired, tint } })[1]!.say
    expect(say(12, 2)).toBe('red gain +10.0 %, blue gain −10.0 %, warmer by 12 mired, greener by 0.0020 Duv')
    expect(say(-12, -2)).toContain('cooler by 12 mired, more magenta by 0.0020 Duv')
  })

  it('states black in percent, as it comes', () => {
    const say = (level: number) => onSetLines({ ...nothing, blackBalance: [level, 0, -0.1] })[2]!.say
    expect(say(-0.4)).toBe('R −0.4 %, G 0.0 %, B −0.1 %')
    expect(say(0.1)).toBe('on target')
  })

  it('names the six terms and the primaries that are off', () => {
    const lines = onSetLines({
      ...nothing,
      matrix: { ...nothing.matrix, rg: -0.1, bg: 0.05 },
      primaries: [
        { name: 'red', hue: -3, saturation: 1.01 },
        { name: 'blue', hue: 0, saturation: 1 },
      ],
    })
    expect(lines[3]!.say).toBe('R-G −0.100, R-B 0.000, G-R 0.000, G-B 0.000, B-R 0.000, B-G +0.050')
    expect(lines[3]!.brief).toBe('R-G −0.100 and five smaller')
    expect(lines[4]!.say).toBe('the match turns red hue −3.0°')
  })

  it('says so when nothing is worth setting', () => {
    expect(onSetSentence(nothing)).toBe('no adjustment needed')
  })
})
