import {
  apply3,
  builtInMatrices,
  identity3,
  inverse3,
  lineUp,
  type Readings,
  rgbToXyz,
  type Turn,
  type TurnGroup,
} from '@isochip/core'
import { builtInTerms, studioCamera } from '@isochip/synthetic'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { type Chain, matrixOfTerms } from '../src/lineup/chain/chain.ts'
import { stagesDown } from '../src/lineup/stagesDown.ts'
import { withFilter } from '../src/lineup/withFilter.ts'
import { chart, encoding, lineUpSeat, working } from './support/lineUpSeat.ts'

const straight: Chain = { afterGains: identity3, pedestal: [0, 0, 0] }

const groups: readonly TurnGroup[] = ['pedestal', 'flare', 'exposure', 'gains', 'gamma', 'matrix']

describe('the stages of a turn', () => {
  test('whoever stops where it is said is never worse off, and no stage comes after the best', () => {
    const level = fc.double({ min: 0, max: 10, noNaN: true })
    fc.assert(
      fc.property(level, fc.array(level, { minLength: 1, maxLength: 6 }), (now, levels) => {
        const least = Math.min(...levels)
        fc.pre(least <= now)
        const stages = stagesDown(
          now,
          levels.map((expected, i) => ({ group: groups[i]!, expected })),
        )
        expect(stages.at(-1)!.expected).toBe(least)
        let before = now
        for (const { expected, gain, together } of stages) {
          if (together) {
            expect(expected).toBeGreaterThan(before)
            continue
          }
          expect(gain).toBeCloseTo(before - expected, 9)
          expect(expected).toBeLessThanOrEqual(before)
          before = expected
        }
        expect(stages.at(-1)!.together).toBeUndefined()
      }),
    )
  })
})

describe('gains as a filter', () => {
  // CIE 015: illuminant A is 2856 K, D65 about 6504 K; on screens of BT.709 white is D65. 10⁶/kelvin is mired.
  test('a white as of illuminant A is to become cooler by the difference in mired', () => {
    const xyz = [1.0985, 1, 0.3558] as const
    const [r, g, b] = apply3(inverse3(rgbToXyz(working)), xyz)
    const u = [0, Math.log(g / r), Math.log(g / b)]
    const [stage] = withFilter([{ group: 'gains', expected: 1 }], straight, u, working)
    expect(stage!.filter!.mired).toBeCloseTo(1e6 / 6504 - 1e6 / 2856, -0.5)
    expect(Math.abs(stage!.filter!.tint)).toBeLessThan(4)
  })

  // Behind the gains makers take colour back in: it takes less of a gain for the same shift of white.
  test('a matrix after the gains makes more of them', () => {
    const [rg, rb, gr, gb, br, bg] = builtInMatrices.mean as [number, number, number, number, number, number]
    const afterGains = matrixOfTerms([0, 0, 0, rg, rb, gr, gb, br, bg])
    const miredOf = (chain: Chain) =>
      withFilter([{ group: 'gains', expected: 1 }], chain, [0, 0.05, -0.05], working)[0]!.filter!.mired
    expect(miredOf(straight)).toBeGreaterThan(5)
    expect(miredOf({ ...straight, afterGains })).toBeGreaterThan(1.2 * miredOf(straight))
  })
})

const untouched: Turn = {
  exposure: 0,
  red: 1,
  blue: 1,
  matrix: { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 },
  pedestal: [0, 0, 0],
}

/** The part of a turn that is of these groups. */
function partOf(turn: Turn, some: readonly TurnGroup[]): Turn {
  const { exposure, red, blue, matrix, pedestal, flare = 0, gamma = 1 } = turn
  return {
    ...untouched,
    ...(some.includes('pedestal') ? { pedestal } : {}),
    ...(some.includes('flare') ? { flare } : {}),
    ...(some.includes('exposure') ? { exposure } : {}),
    ...(some.includes('gains') ? { red, blue } : {}),
    ...(some.includes('gamma') ? { gamma } : {}),
    ...(some.includes('matrix') ? { matrix } : {}),
  }
}

describe('cameras of the simulated studio, numbers that nothing was set on', () => {
  // In their second rounds pedestals were told first by which alone it became worse by up to 2.2 (camera 70026).
  test.each(wholeTask ? [70003, 70008, 70026] : [70008, 70026])(
    'camera %i is not made worse by any step that is told',
    (number) => {
      const { camera, target } = lineUpSeat(number)
      const prior = builtInTerms(camera.sensor)
      const studio = studioCamera(camera, chart)
      const turned: Turn[] = []
      const earlier: { readings: Readings; asked: Turn }[] = []
      let joined = 0
      for (let round = 0; round < 2; round++) {
        const readings = studio.shoot()
        const found = lineUp({ chart, readings, encoding, target, working }, earlier, { prior })
        const set: TurnGroup[] = []
        let before = found.now
        for (const { group, together } of found.advice.stages) {
          set.push(group)
          if (together) {
            joined++
            continue
          }
          // What becomes of the camera itself if somebody stops here.
          const copy = studioCamera({ ...camera, noise: 0 }, chart)
          for (const turn of [...turned, partOf(found.turn, set)]) copy.turn(turn)
          const { now } = lineUp({ chart, readings: copy.shoot(), encoding, target, working })
          expect(now, `${group} in round ${round + 1}`).toBeLessThan(before + 0.15)
          before = now
        }
        studio.turn(found.turn)
        turned.push(found.turn)
        earlier.push({ readings, asked: found.turn })
      }
      expect(joined).toBeGreaterThan(0)
    },
  )
})
