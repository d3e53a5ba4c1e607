import { type Controls, clicksOfTurn, lineUp, type Readings, type Turn } from '@isochip/core'
import { builtInTerms, studioCamera } from '@isochip/synthetic'
import { describe, expect, test } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { chart, encoding, lineUpSeat, working } from './support/lineUpSeat.ts'

const untouched: Turn = {
  exposure: 0,
  red: 1,
  blue: 1,
  matrix: { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 },
  pedestal: [0, 0, 0],
}

describe('controls in clicks', () => {
  test('what a click is, in the units of each control', () => {
    const controls: Controls = {
      exposure: { dB: 3 },
      gains: { percent: 0.5 },
      matrix: { terms: 0.01 },
      pedestal: { mV: 3.5 },
    }
    const turn: Turn = {
      // 20·log₁₀ 2 dB are a stop; 700 mV are 100 % of the signal: ITU-R BT.709-6 and the analogue forms before it.
      exposure: -6 / (20 * Math.log10(2)),
      red: 1.02,
      blue: 0.97,
      matrix: { ...untouched.matrix, rg: 0.03, bg: -0.02 },
      pedestal: [0.005, 0, -0.01],
    }
    expect(clicksOfTurn(turn, controls)).toEqual({
      exposure: [-2],
      gains: [4, -6],
      matrix: [3, 0, 0, 0, 0, -2],
      pedestal: [1, 0, -2],
    })
    expect(clicksOfTurn({ ...untouched, red: 10 ** (0.5 / 20) }, { gains: { dB: 0.1 } })).toEqual({
      gains: [5, 0],
    })
    expect(clicksOfTurn(turn, {})).toEqual({})
  })

  /** A studio camera whose controls move in coarse steps, and a show that says so, or does not. */
  function rounds(number: number, told: boolean) {
    const { camera, target } = lineUpSeat(number)
    const studio = studioCamera(
      {
        ...camera,
        steps: { exposure: 1 / 6, gains: 0.02, matrix: 0.02, pedestal: 0.005 },
        acts: { exposure: 1, gains: 1, matrix: 1, pedestal: 1 },
      },
      chart,
    )
    const controls: Controls = {
      exposure: { stops: 1 / 6 },
      gains: { percent: 2 },
      matrix: { terms: 0.02 },
      pedestal: { percent: 0.5 },
    }
    const earlier: { readings: Readings; asked: Turn; done?: number; touched?: boolean }[] = []
    const at: number[] = []
    const turns: Turn[] = []
    for (let round = 0; round <= 4; round++) {
      const readings = studio.shoot()
      const { turn, now, done, touched } = lineUp({ chart, readings, encoding, target, working }, earlier, {
        prior: builtInTerms(camera.sensor),
        ...(told ? { controls } : {}),
      })
      at.push(now)
      turns.push(turn)
      for (const [i, groups] of done.entries())
        Object.assign(earlier[i]!, { done: groups, touched: touched[i] })
      earlier.push({ readings, asked: turn })
      studio.turn(turn)
    }
    return { at, turns, controls }
  }

  test.each(wholeTask ? [9101, 9102, 9103] : [9102])(
    'camera %i, coarse clicks: advice is in whole clicks, and no worse for it',
    (number) => {
      const { at, turns, controls } = rounds(number, true)
      for (const { exposure, red, pedestal, matrix } of turns) {
        const clicks = [6 * exposure, (red - 1) / 0.02, pedestal[0] / 0.005, matrix.rg / 0.02]
        for (const count of clicks) expect(Math.abs(count - Math.round(count))).toBeLessThan(1e-6)
      }
      for (let round = 2; round < at.length; round++) expect(at[round]).toBeLessThan(at[round - 1]! + 0.15)
      expect(clicksOfTurn(turns[0]!, controls).exposure).toHaveLength(1)
      // What is asked can be set, so that it is known what was done: no worse than a turn that the control then rounds.
      expect(at.at(-1)).toBeLessThan(rounds(number, false).at.at(-1)! + 0.1)
    },
  )

  test('a control that the camera has not got is not asked for', () => {
    const { camera, target } = lineUpSeat(9104)
    const readings = studioCamera(camera, chart).shoot()
    const { turn, advice } = lineUp({ chart, readings, encoding, target, working }, [], {
      controls: { matrix: 'none', pedestal: 'none', gains: { stand: 'before-matrix' } },
    })
    expect(turn.matrix).toEqual(untouched.matrix)
    expect(turn.pedestal).toEqual([0, 0, 0])
    expect(advice.stages.map(({ group }) => group)).toEqual(['exposure', 'gains'])
  })

  test('where the gains stand can be said, and then is not weighed', () => {
    const { camera, target } = lineUpSeat(9105)
    const readings = studioCamera(camera, chart).shoot()
    const input = { chart, readings, encoding, target, working }
    const { beliefs } = lineUp(input, [], { controls: { gains: { stand: 'after-matrix' } } })
    expect(beliefs.map(({ order, probability }) => [order, probability])).toEqual([['after-matrix', 1]])
    expect(lineUp(input).beliefs).toHaveLength(2)
  })
})
