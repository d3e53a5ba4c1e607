import {
  apply3,
  builtinChart,
  type EncodingSpec,
  encodeRgb,
  type Mat3,
  matchCamera,
  type PatchReading,
  type Readings,
  referenceMatch,
  resolveEncoding,
  resolvePrimaries,
  targetFromCamera,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import type { CameraReport, ShowReport } from '@isochip/report'

/** Numbers in 0…1 from a seed (the linear congruence of Numerical Recipes), the same on every machine. */
function numbersFrom(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 32
  }
}

const chart = builtinChart('quay48')
const working = resolvePrimaries('bt709')
const encodingSpec: EncodingSpec = { transfer: 'bt709', primaries: 'bt709', range: 'full' }
const encoding = resolveEncoding(encodingSpec)
const reference = targetFromReference(chart, 'D65', working).light

/** Readings of an invented camera: gains, crosstalk, black and a curve of its own, and noise. */
function readings(seed: number): Readings {
  const random = numbersFrom(seed)
  const about = (centre: number, spread: number) => centre + spread * (2 * random() - 1)
  const gain: Vec3 = [about(0.85, 0.15), about(0.85, 0.1), about(0.85, 0.2)]
  const mix = () => about(0.05, 0.05)
  const crosstalk: Mat3 = [
    [1, mix(), mix()],
    [mix(), 1, mix()],
    [mix(), mix(), 1],
  ]
  const black = about(0.003, 0.003)
  const bend = about(1, 0.03)
  const patches = chart.patches.map(({ name }): PatchReading => {
    const light = apply3(crosstalk, reference.get(name)!)
    const shot = light.map(
      (value, i) => Math.max(0, (value * gain[i]!) / 1.12 + black) ** bend,
    ) as unknown as Vec3
    const code = encodeRgb(encoding, shot).map(
      (value) => value + 0.002 * (2 * random() - 1),
    ) as unknown as Vec3
    return { patch: name, rgb: code, sd: [0.008, 0.006, 0.01], pixels: 900, clipped: 0 }
  })
  return { patches }
}

/** Picture of one pixel: the page does not look into it. */
const pixel =
  'data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAIAAACQd1PeAAAADElEQVR4nGNoaGgAAAMEAYFL09IQAAAAAElFTkSuQmCC'
const picture = { uri: pixel, width: 480, height: 270 }

/** A show of invented cameras, really matched: the first camera is the target. Names are as given. */
export function matchedShow(
  cameras: readonly string[],
  setups: readonly string[],
  title = 'Harbour Kitchen',
): ShowReport {
  return {
    title,
    chart,
    working: 'bt709',
    target: { camera: cameras[0]! },
    tolerance: { mean: 1, max: 3 },
    view: 'scene',
    version: '0.0.0',
    inputs: [{ path: 'show.yaml', sha256: '0'.repeat(64) }],
    setups: setups.map((setup, s) => {
      const first = readings(100 * s + 1)
      const target = targetFromCamera(chart, first, encoding, working)
      return {
        setup,
        cameras: cameras.map((camera, i): CameraReport => {
          const own = i === 0 ? first : readings(100 * s + 10 * i + 1)
          return {
            camera,
            setup,
            sourceEncoding: encoding.spec,
            outputEncoding: encoding.spec,
            match: (i === 0 ? referenceMatch : matchCamera)({
              chart,
              readings: own,
              encoding,
              target,
              working,
            }),
            pictures: { sampling: picture, before: picture, after: picture, target: picture },
          }
        }),
      }
    }),
  }
}
