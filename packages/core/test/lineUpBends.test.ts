import { type Controls, lineUp, type Readings, resolveEncoding, type Turn } from '@isochip/core'
import { builtInTerms, type StudioCameraSpec, studioCamera } from '@isochip/synthetic'
import { describe, expect, test } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { chart, encoding, lineUpSeat, working } from './support/lineUpSeat.ts'

/** A camera of the simulated studio with this besides, lined up; what is known of makers' matrices leaves its sensor out. */
function linedUp(number: number, fault: Partial<StudioCameraSpec>, turns: number, controls?: Controls) {
  const { camera, target } = lineUpSeat(number)
  const studio = studioCamera({ ...camera, ...fault }, chart)
  const prior = builtInTerms(camera.sensor)
  const earlier: { readings: Readings; asked: Turn; done?: number; touched?: boolean }[] = []
  const rounds = []
  for (let round = 0; round <= turns; round++) {
    const readings = studio.shoot()
    const found = lineUp({ chart, readings, encoding, target, working }, earlier, {
      prior,
      ...(controls === undefined ? {} : { controls }),
    })
    for (const [i, one] of earlier.entries())
      Object.assign(one, { done: found.done[i], touched: found.touched[i] })
    earlier.push({ readings, asked: found.turn })
    rounds.push(found)
    studio.turn(found.turn)
  }
  const groups = rounds.map(({ advice }) => advice.stages.map(({ group }) => group))
  return { rounds, groups, at: rounds.map(({ now }) => now) }
}

const clean = { gamma: 1, flare: 0.004, pedestal: [0, 0, 0] } as const

/** What is asked for first at each of them. */
const firstOf = (numbers: readonly number[], fault: Partial<StudioCameraSpec>) =>
  numbers.map((number) => {
    const { rounds, groups } = linedUp(number, fault, 0)
    return { ...rounds[0]!, groups: groups[0]! }
  })

// The cameras stand as far off otherwise as all of the studio do. What is asked for was set on cameras 60000 to 60215.
describe('flare, pedestal and gamma of cameras that were not tuned on', () => {
  const cameras = [61000, 61001, 61002, 61003]

  test('with none of them, neither flare nor gamma is asked for, nor with a pedestal', () => {
    for (const pedestal of [
      [0, 0, 0],
      [0.04, 0.04, 0.04],
    ] as const)
      for (const { groups, turn } of firstOf(wholeTask ? cameras : cameras.slice(0, 2), {
        ...clean,
        pedestal,
      })) {
        expect(groups).not.toContain('flare')
        expect(groups).not.toContain('gamma')
        expect([turn.flare, turn.gamma]).toEqual([undefined, undefined])
      }
  })

  test('a flare of 2.4 % of white is mostly taken for flare, before exposure, and never for gamma', () => {
    const asked = firstOf(cameras, { ...clean, flare: 0.024 })
    const told = asked.filter(({ groups }) => groups.includes('flare'))
    expect(told.length).toBeGreaterThanOrEqual(cameras.length / 2)
    for (const { groups, turn } of told) {
      expect(groups.indexOf('flare')).toBeLessThan(groups.indexOf('exposure'))
      // The reference has 0.4 % itself, and both are seen through an iris up to a stop off.
      expect(turn.flare).toBeLessThan(-0.008)
      expect(turn.flare).toBeGreaterThan(-0.025)
    }
    for (const { groups } of asked) expect(groups).not.toContain('gamma')
  })

  test('a gamma that is off is told in its sense, between white balance and matrix, and never as flare', () => {
    const asked = firstOf(cameras, { ...clean, gamma: 0.89 })
    const told = asked.filter(({ groups }) => groups.includes('gamma'))
    expect(told.length).toBeGreaterThanOrEqual(cameras.length / 2)
    for (const { groups, turn } of told) {
      expect(turn.gamma).toBeGreaterThan(1)
      expect(turn.gamma).toBeLessThan(1 / 0.85)
      const at = groups.indexOf('gamma')
      for (const before of ['pedestal', 'exposure', 'gains'] as const)
        if (groups.includes(before)) expect(groups.indexOf(before)).toBeLessThan(at)
      if (groups.includes('matrix')) expect(groups.indexOf('matrix')).toBeGreaterThan(at)
    }
    for (const { groups } of asked) expect(groups).not.toContain('flare')
  })

  test('a control that is not there is not asked for', () => {
    const { groups } = linedUp(61001, { ...clean, flare: 0.024 }, 0, { flare: 'none', gamma: 'none' })
    expect(groups[0]).not.toContain('flare')
  })

  test('a knee is told, and not taken for a closed iris; without one nothing is said of it', () => {
    const bright = { ...clean, exposure: 0.1 }
    const kneed = linedUp(61041, { ...bright, knee: 0.8 }, 0).rounds[0]!
    const straight = linedUp(61041, bright, 0).rounds[0]!
    expect(kneed.grey?.knee).toBeGreaterThan(0.02)
    expect(straight.grey?.knee).toBeUndefined()
    // What it gains to turn it off is what the same camera shows without it.
    expect(kneed.grey!.kneeGain).toBeCloseTo(kneed.now - straight.now, 0.7)
    // A twentieth of a stop: what lies under the knee tells a little less than the whole scale.
    expect(Math.abs(kneed.turn.exposure - straight.turn.exposure)).toBeLessThan(0.05)
  })
})

describe('doubt of the encoding', () => {
  const adviceOn = (number: number, pedestal: number, declared: 'bt709' | 'hlg') => {
    const { camera, target } = lineUpSeat(number)
    const spec = { ...camera, pedestal: [pedestal, pedestal, pedestal] } as const
    const readings = studioCamera(spec, chart).shoot()
    return lineUp({ chart, readings, encoding: resolveEncoding(declared), target, working })
  }

  // The match of each of these doubts its encoding for its black alone.
  test.each([
    [341000, 0.03],
    [341002, -0.03],
    [341011, -0.03],
  ])(
    'camera %i with its pedestal off by %f is not told to see to an encoding that is right',
    (number, pedestal) => {
      expect(adviceOn(number, pedestal, 'bt709').encodingDoubt).toBeUndefined()
      expect(adviceOn(number, pedestal, 'hlg').encodingDoubt).toBeDefined()
    },
  )
})

describe('a pedestal that stands before the curve', () => {
  const before = { pedestalStands: 'before-curve', pedestal: [0.015, 0.012, 0.018] } as const
  const controls: Controls = { pedestal: { stand: 'before-curve' } }

  test('is told as light where the show says so, and comes out better for it', () => {
    const cameras = [61051, 61052]
    const said = cameras.map((number) => linedUp(number, { ...clean, ...before }, 1, controls))
    const unsaid = cameras.map((number) => linedUp(number, { ...clean, ...before }, 1))
    for (const { rounds, at } of said) {
      for (const [c, value] of rounds[0]!.turn.pedestal.entries())
        expect(Math.abs(value + before.pedestal[c]!)).toBeLessThan(0.012)
      expect(at[1]).toBeLessThan(at[0]!)
    }
    const end = (all: typeof said) => all.reduce((sum, { at }) => sum + at[1]!, 0) / all.length
    expect(end(said)).toBeLessThan(end(unsaid))
  })
})
