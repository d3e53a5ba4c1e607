import type { Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { checkLevels } from '../../src/index.ts'
import { inventedCamera } from '../support/inventedShow.ts'

/** A camera whose first patches are matched to the given light. */
function cameraWith(...light: Vec3[]) {
  const camera = inventedCamera({ camera: 'cross', setup: 'day' })
  const patches = camera.match.patches.map((patch, i) => ({ ...patch, matched: light[i] ?? [0.2, 0.2, 0.2] }))
  return { ...camera, match: { ...camera.match, patches } }
}

describe('checkLevels', () => {
  // The preferred range of EBU R 103 is −5 % to 105 %. By BT.709-6, item 1.2: −5 % is light −0.05 / 4.5, and 105 %
  // is ((1.05 + 0.099) / 1.099)^(1 / 0.45).
  const low = -0.05 / 4.5
  const high = ((1.05 + 0.099) / 1.099) ** (1 / 0.45)

  it('lets the ends of the range pass', () => {
    const check = checkLevels(cameraWith([low + 1e-9, 0.1, 0.1], [0.1, high - 1e-9, 0.1]), 'bt709')
    expect(check.outside).toEqual([])
    expect(check.low).toBeCloseTo(-0.05, 7)
    expect(check.high).toBeCloseTo(1.05, 7)
  })

  it('names the patches beyond it, in any channel', () => {
    const beyond = cameraWith([0.1, 0.1, low - 1e-6], [0.1, 0.1, 0.1], [high + 1e-6, 0.1, 0.1])
    expect(checkLevels(beyond, 'bt709').outside).toEqual(['red', 'yellow'])
  })

  // EBU R 103 version 3.0, from memory: luma from −1 % to 103 %. A grey has R′ = G′ = B′ = Y′.
  it('judges luma by a narrower range than R′, G′ and B′', () => {
    const grey = (code: number): Vec3 => {
      const light = code < 0.081 ? code / 4.5 : ((code + 0.099) / 1.099) ** (1 / 0.45)
      return [light, light, light]
    }
    const inside = checkLevels(cameraWith(grey(1.0299), grey(-0.0099)), 'bt709')
    expect(inside.outside).toEqual([])
    expect([inside.luma.low, inside.luma.high].map((level) => level.toFixed(4))).toEqual([
      '-0.0099',
      '1.0299',
    ])
    expect(checkLevels(cameraWith(grey(1.0301), grey(0.5), grey(-0.0101)), 'bt709').outside).toEqual([
      'red',
      'yellow',
    ])
  })

  it.each([
    ['bt709', [0.2126, 0.7152, 0.0722], 'ITU-R BT.709-6, item 3.2'],
    ['bt2020', [0.2627, 0.678, 0.0593], 'ITU-R BT.2020-2, table 4'],
  ] as const)('weights luma in %s as the standard has it', (primaries, weights, _standard) => {
    for (const [i, weight] of weights.entries()) {
      const light = [0, 1, 2].map((k) => (k === i ? 1 : 0)) as unknown as Vec3
      const camera = inventedCamera({ camera: 'cross', setup: 'day' })
      const patches = [{ ...camera.match.patches[0]!, matched: light }]
      const { luma } = checkLevels(
        {
          ...camera,
          outputEncoding: { ...camera.outputEncoding, primaries },
          match: { ...camera.match, patches },
        },
        primaries,
      )
      expect(luma.high).toBeCloseTo(weight, 4)
    }
  })

  it('judges in the primaries of the output', () => {
    // Full BT.2020 green has −0.5876 of red in BT.709 (the inverse of the matrix in BT.2087-0, section 3; the figure
    // is from memory). Below black the OETF is 4.5 times the light.
    const check = checkLevels(cameraWith([0, 1, 0]), 'bt2020')
    expect(check.outside).toEqual(['red'])
    expect(check.low).toBeCloseTo(4.5 * -0.5876, 3)
  })
})
