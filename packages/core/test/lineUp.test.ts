import { lineUp, type Readings, resolveEncoding, type Turn, targetFromCamera } from '@isochip/core'
import { builtInTerms, type StudioCameraSpec, studioCamera } from '@isochip/synthetic'
import { describe, expect, test } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { chart, encoding, lineUpSeat, working } from './support/lineUpSeat.ts'

// Rounds of fits by differences: seconds on a busy machine.

/** Mean ΔE00 by round of a camera of the studio that is turned as `follow` makes of the advice. */
function lineUpOf(
  number: number,
  rounds: number,
  follow: (turn: Turn, round: number) => Turn = (turn) => turn,
) {
  const { camera, target } = lineUpSeat(number)
  const studio = studioCamera(camera, chart)
  // What is known of makers' matrices does not know this camera's sensor.
  const prior = builtInTerms(camera.sensor)
  const earlier: { readings: Readings; asked: Turn; done?: number }[] = []
  const at: number[] = []
  let withLut = 0
  for (let round = 0; round <= rounds; round++) {
    const readings = studio.shoot()
    const found = lineUp({ chart, readings, encoding, target, working }, earlier, { prior })
    at.push(found.now)
    withLut = found.withLut
    for (const [i, groups] of found.done.entries()) earlier[i]!.done = groups
    studio.turn(follow(found.turn, round))
    earlier.push({ readings, asked: found.turn })
  }
  return { at, withLut, done: earlier.map(({ done }) => done) }
}

const nothing: Turn = {
  exposure: 0,
  red: 1,
  blue: 1,
  matrix: { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 },
  pedestal: [0, 0, 0],
}

describe('lining up cameras of the simulated studio, numbers that nothing was set on', () => {
  // Three turns bring 95 in 100 to 1.0, or to 0.2 above what a LUT leaves; of these four that is all, and of 300
  // cameras `test/gallery/lineUpStudio.ts` prints the counts.
  test.each(wholeTask ? [9001, 9002, 9003, 9004] : [9002, 9004])(
    'camera %i converges and never gets worse',
    (number) => {
      const { at, withLut } = lineUpOf(number, 3)
      expect(at.at(-1)).toBeLessThan(Math.max(1, withLut + 0.2))
      expect(at.at(-1)).toBeLessThan(at[0]!)
      for (let round = 2; round < at.length; round++) expect(at[round]).toBeLessThan(at[round - 1]! + 0.15)
    },
  )

  test('the advice of a first shot does not turn on the last digits of what was read', () => {
    for (const number of [9002, 9010]) {
      const { camera, target } = lineUpSeat(number)
      const { patches } = studioCamera(camera, chart).shoot()
      const adviceAt = (digit: number) => {
        const read = patches.map((one, i) => {
          const by = 1 + (i % 2 === 0 ? digit : -digit)
          return { ...one, rgb: [one.rgb[0] * by, one.rgb[1] / by, one.rgb[2] * by] as const }
        })
        const { turn } = lineUp({ chart, readings: { patches: read }, encoding, target, working }, [], {
          prior: builtInTerms(camera.sensor),
        })
        return [turn.exposure, turn.red, turn.blue, ...turn.pedestal, ...Object.values(turn.matrix)]
      }
      const advice = adviceAt(0)
      for (const digit of [1e-14, -1e-14, 1e-13, -1e-13])
        for (const [i, value] of adviceAt(digit).entries()) expect(value).toBeCloseTo(advice[i]!, 6)
    }
  })

  test('that half of the advice was followed, and nothing at all, is seen in the next shot', () => {
    const first = lineUpOf(9010, 4, (turn, round) =>
      round === 0 ? { ...turn, red: 1, blue: 1, matrix: nothing.matrix } : round === 1 ? nothing : turn,
    )
    expect(first.done.slice(0, 2)).toEqual([2, 0])
    expect(first.at.at(-1)).toBeLessThan(Math.max(1, first.withLut + 0.2))
  })
})

describe('the next day', () => {
  /** Somebody has been at every control overnight. */
  const overnight: Turn = {
    exposure: 0.45,
    red: 0.9,
    blue: 1.12,
    matrix: { rg: 0.04, rb: -0.03, gr: 0.02, gb: -0.03, br: 0.01, bg: 0.05 },
    pedestal: [0.015, 0.012, 0.018],
  }

  /** Mean ΔE00 after the first turn of the second day, with what was learnt on the first and without. */
  function secondDay(number: number): { knowing: number; anew: number; forgotten: boolean } {
    const { camera, target } = lineUpSeat(number)
    const prior = builtInTerms(camera.sensor)
    const after = (remembered: boolean) => {
      const studio = studioCamera(camera, chart)
      const earlier: { readings: Readings; asked: Turn; done?: number; touched?: boolean }[] = []
      const shoot = (known: typeof earlier) => {
        const readings = studio.shoot()
        const found = lineUp({ chart, readings, encoding, target, working }, known, { prior })
        for (const [i, done] of found.done.entries()) {
          if (known[i] !== undefined) Object.assign(known[i], { done, touched: found.touched[i]! })
        }
        earlier.push({ readings, asked: found.turn })
        return found
      }
      for (let round = 0; round < 3; round++) studio.turn(shoot(earlier).turn)
      shoot(earlier)
      studio.turn(overnight)
      const morning = shoot(remembered ? earlier : [])
      studio.turn(morning.turn)
      return { now: shoot(remembered ? earlier : []).now, morning }
    }
    const knowing = after(true)
    expect(knowing.morning.touched.at(-1)).toBe(true)
    return { knowing: knowing.now, anew: after(false).now, forgotten: knowing.morning.since > 0 }
  }

  test('the first round starts from what was learnt of the camera, though everything was changed overnight', () => {
    const days = (wholeTask ? [9021, 9022, 9023, 9024] : [9021, 9023]).map(secondDay)
    expect(days.filter(({ forgotten }) => forgotten)).toEqual([])
    const mean = (of: 'knowing' | 'anew') => days.reduce((sum, day) => sum + day[of], 0) / days.length
    expect(mean('knowing')).toBeLessThan(mean('anew') - 0.2)
    for (const { knowing, anew } of days) expect(knowing).toBeLessThan(anew + 0.15)
  })
})

describe('a camera of the same sensor as the reference', () => {
  const spec: StudioCameraSpec = { sensor: 'sensor3', light: 'D65', exposure: -0.2, seed: 4 }
  const target = targetFromCamera(chart, studioCamera(spec, chart).shoot(), encoding, working)
  const adviceFor = (other: Partial<StudioCameraSpec>) => {
    const readings = studioCamera({ ...spec, ...other }, chart).shoot()
    return lineUp({ chart, readings, encoding, target, working }).turn
  }

  test('needs no adjustment where it stands as the reference does', () => {
    expect(adviceFor({})).toEqual(nothing)
  })

  test('a closed iris is told in stops, a little short of it while a pedestal may have a part in it', () => {
    const { exposure, red, blue } = adviceFor({ exposure: -0.7 })
    expect(exposure).toBeGreaterThan(0.37)
    expect(exposure).toBeLessThan(0.53)
    expect(red).toBeCloseTo(1, 1)
    expect(blue).toBeCloseTo(1, 1)
  })

  test('a pedestal is told in the signal, not in light', () => {
    const { pedestal } = adviceFor({ pedestal: [0.03, 0.03, 0.03] })
    // Within a third: a single shot cannot tell pedestal from flare.
    for (const value of pedestal) expect(Math.abs(value + 0.03)).toBeLessThan(0.01)
  })

  test('gains are told as they act before the matrix', () => {
    const { red } = adviceFor({ red: 1 / 1.1, blue: 1.05 })
    expect(red).toBeGreaterThan(1.06)
    expect(red).toBeLessThan(1.13)
  })
})

describe('a camera that records log', () => {
  const harbourLog = {
    log: { base: 2, logSideSlope: 0.0833, logSideOffset: 0.62, linSideOffset: 0.006, linSideBreak: 0.005 },
  }
  const spec: StudioCameraSpec = {
    sensor: 'sensor3',
    light: 'D65',
    encoding: { transfer: harbourLog },
    seed: 6,
  }
  const target = targetFromCamera(
    chart,
    studioCamera({ ...spec, encoding: 'bt709' }, chart).shoot(),
    encoding,
    working,
  )

  test('is told to open the iris, not to lift a pedestal, though both look alike on its curve', () => {
    const readings = studioCamera({ ...spec, exposure: -0.6 }, chart).shoot()
    const { turn, advice } = lineUp({
      chart,
      readings,
      encoding: resolveEncoding({ transfer: harbourLog }),
      target,
      working,
    })
    expect(advice.stages.map(({ group }) => group)).not.toContain('pedestal')
    expect(turn.pedestal).toEqual([0, 0, 0])
    expect(turn.exposure).toBeGreaterThan(0.5)
    expect(turn.exposure).toBeLessThan(0.7)
  })
})
