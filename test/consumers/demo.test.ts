import { decodeFrame } from '@isochip/frames/node'
import type { MatchFile } from '@isochip/show'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { consumer } from '../support/consumer.ts'
import {
  framesOf,
  lutOf,
  type MatchedDemo,
  matchedDemo,
  measuredPatches,
  type Pixels,
  throughFfmpeg,
  throughOcio,
  throughOurs,
} from './demoFrames.ts'
import { largestDifference } from './lutNumbers.ts'

/*
 * What is promised, looked at from outside: the LUTs of the demo, put on its chart frames by other people's programs,
 * bring every camera to where its report says.
 */

const shots = ['day', 'evening'].flatMap((setup) =>
  ['wide', 'cross', 'crane'].map((camera) => [camera, setup] as const),
)

const ffmpeg = consumer('ffmpeg')
const python = consumer('pyopencolorio')

ffmpeg.describe('the demo’s LUTs in other programs', () => {
  let demo: MatchedDemo & { remove(): void }
  const graded = new Map<MatchFile, readonly Pixels[]>()
  const ours = new Map<MatchFile, Pixels>()
  const matchOf = (camera: string, setup: string) =>
    demo.matches.find((one) => one.camera === camera && one.setup === setup)!

  beforeAll(async () => {
    demo = await matchedDemo()
    for (const match of demo.matches) {
      const lut = lutOf(demo, match)
      const files = framesOf(demo, match)
      const first = await throughOurs(demo, match, files[0]!)
      ours.set(match, first)
      graded.set(
        match,
        files.map((file) => throughFfmpeg(ffmpeg, lut, file, first)),
      )
    }
  })
  afterAll(() => {
    demo.remove()
  })

  it.each(shots)(
    '%s, %s: ffmpeg gives the pixels that isochip apply gives, within one code of 16 bits',
    (camera, setup) => {
      const match = matchOf(camera, setup)
      // It cuts off the fraction of a code where we round: one code apart is as near as can be.
      expect(largestDifference(ours.get(match)!.data, graded.get(match)![0]!.data)).toBeLessThanOrEqual(1)
    },
  )

  python.describe('and OpenColorIO', () => {
    it.each(shots)('%s, %s: gives the same pixels, within one code of 16 bits', async (camera, setup) => {
      const match = matchOf(camera, setup)
      const [file] = framesOf(demo, match)
      const { width, height, data } = await decodeFrame(file!)
      const theirs = throughOcio(python, demo, lutOf(demo, match), {
        width,
        height,
        data: data as Uint16Array,
      })
      // It computes in single precision, which puts a value near a half on the other side of it.
      expect(largestDifference(ours.get(match)!.data, theirs.data)).toBeLessThanOrEqual(1)
    })
  })

  it.each(shots)(
    '%s, %s: its chart is where the report says, mean and worst within ΔE00 0.05',
    (camera, setup) => {
      const match = matchOf(camera, setup)
      const patches = measuredPatches(demo, match, graded.get(match)!)
      const differences = patches.map(({ measured }) => measured)
      const mean = differences.reduce((sum, value) => sum + value, 0) / differences.length
      const after = match.kind === 'reference' ? { mean: 0, max: 0 } : match.summary.after
      expect(mean).toBeLessThan(1)
      expect(Math.abs(mean - after.mean)).toBeLessThan(0.05)
      expect(Math.abs(Math.max(...differences) - after.max)).toBeLessThan(0.05)
      // Of a single patch a lattice of 33 points keeps less: straight lines in a log curve, up to what the report says
      // that they cost. The rest is the noise of the frames, which a bent curve moves a little.
      const lattice = demo.latticeCost.get(`${setup}/${camera}`)!
      for (const { patch, measured, stated } of patches)
        expect(Math.abs(measured - stated), patch).toBeLessThan(lattice + 0.05)
    },
  )
})
