import {
  builtinChart,
  lineUp,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  targetFromCamera,
} from '@isochip/core'
import { builtInTerms, drawStudio, type StudioCameraSpec, studioCamera } from '@isochip/synthetic'
import { describe, expect, test } from 'vitest'
import { trueBlack } from '../src/samples/trueBlack.ts'

const chart = builtinChart('buoy47')
const encoding = resolveEncoding('bt709')
const working = resolvePrimaries('bt709')
const withoutTrap = ({ patches }: Readings): Readings => ({
  patches: patches.filter(({ patch }) => patch !== 'true black'),
})

/** How far the pedestal that is believed after one shot is from the camera's own, root mean square of the channels. */
function missedBy(number: number, fault: Partial<StudioCameraSpec>, seen: (readings: Readings) => Readings) {
  const { camera, reference } = drawStudio(number)
  const spec = { ...camera, gamma: 1, ...fault }
  const target = targetFromCamera(chart, seen(studioCamera(reference, chart).shoot()), encoding, working)
  const { beliefs } = lineUp(
    { chart, readings: seen(studioCamera(spec, chart).shoot()), encoding, target, working },
    [],
    { prior: builtInTerms(camera.sensor) },
  )
  const { theta } = beliefs.reduce((a, b) => (b.probability > a.probability ? b : a))
  return Math.hypot(...spec.pedestal!.map((value, c) => theta[10 + c]! - value)) / Math.sqrt(3)
}

describe('the true black of a chart in a line-up, cameras that nothing was set on', () => {
  test.each([
    ['flare', { flare: 0.024, pedestal: [0, 0, 0] }, 0.25],
    ['flare and a pedestal against it', { flare: 0.018, pedestal: [-0.02, -0.02, -0.02] }, 0.4],
  ] as const)('tells the pedestal apart from %s', (_name, fault, share) => {
    for (const number of [331000, 331001]) {
      const without = missedBy(number, fault, withoutTrap)
      expect(missedBy(number, fault, (readings) => readings)).toBeLessThan(share * without)
    }
  })

  test('a pedestal alone is told no worse for it', () => {
    const fault = { flare: 0.004, pedestal: [0.03, 0.03, 0.03] } as const
    for (const number of [331000, 331001])
      expect(missedBy(number, fault, (readings) => readings)).toBeLessThan(
        missedBy(number, fault, withoutTrap) + 0.002,
      )
  })

  test('says nothing where it stands at black or under, or clips, since recorders end there', () => {
    const patches = [{ patch: 'true black', rgb: [0.02, 0.03, 0.02] as const }]
    expect(trueBlack(chart, { patches })).toEqual([0.02, 0.03, 0.02])
    expect(trueBlack(chart, { patches: [{ ...patches[0]!, rgb: [0.02, 0, 0.02] }] })).toBeUndefined()
    expect(trueBlack(chart, { patches: [{ ...patches[0]!, clipped: 0.2 }] })).toBeUndefined()
    expect(trueBlack(builtinChart('chart24'), { patches: [] })).toBeUndefined()
  })
})
