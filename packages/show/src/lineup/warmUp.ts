import { encodeRgb, exp2, isIsochipError, lineUp, type Readings, type Target, type Turn } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { knownEncoding, type ShowPlan } from '../load/planShow.ts'
import { type SampledShot, sampleShot } from '../read/sampleShot.ts'

/** As large as patches are in a frame of 1920 × 1080. */
const size = { width: 960, height: 640 }
/** Somebody who turns a camera and shoots again is back after as many looks at the frames as this takes. */
const rounds = 6
const times = 4

/**
 * Goes through all that a round does, on an invented camera: the first time an engine runs a piece of code it takes ten times as
 * long as later, and nobody should wait for that in front of a chart. A piece at a time, for whoever has other things to do in between.
 *
 * @param target what the cameras are lined up to, or what else is known of the chart
 */
export function* warmUp(plan: ShowPlan, camera: string, target: Target): Generator<void> {
  try {
    yield* inventedRounds(plan, camera, target)
  } catch (cause) {
    // A chart, an encoding or a fit that it cannot be done with is told of at the first shot.
    if (!isIsochipError(cause)) throw cause
  }
}

function* inventedRounds(plan: ShowPlan, camera: string, target: Target): Generator<void> {
  const { chart, working } = plan
  const encoding = knownEncoding(plan.encodings, camera)
  const { width, height } = size
  const pixels = new Uint8Array(3 * width * height).map((_, i) => noise(i))
  const frame = createFrame(width, height, pixels, 8)
  const corners = [
    [40, 40],
    [width - 40, 40],
    [width - 40, height - 40],
    [40, height - 40],
  ] as const
  const shotBy = (stops: number, lift: number): Readings => ({
    patches: [...target.light].map(([patch, [r, g, b]]) => {
      const level = exp2(stops)
      const [red, green, blue] = encodeRgb(encoding, [1.05 * level * r, level * g, 0.97 * level * b])
      return { patch, rgb: [red + lift, green + lift, blue + lift] }
    }),
  })
  for (let time = 0; time < times; time++) {
    const { areas } = sampleShot([{ ...frame, warnings: [] }], { corners, others: [] }, { chart, encoding })
    if (time === 0) paint(pixels, areas, shotBy(-0.5, 0))
    yield
    const earlier: { readings: Readings; asked: Turn; done?: number; touched?: boolean }[] = []
    for (let round = 0; round < rounds; round++) {
      // One who turns nothing, one who opens the iris step by step, one who does all at once.
      const opened = [0, 0.2 * round, Math.min(round, 1)][time % 3]!
      const readings = shotBy(0.1 * time - 0.5 + 0.5 * opened, 0.004 * time)
      const { turn, done, touched } = lineUp(
        { chart, readings, encoding, target, working },
        earlier,
        plan.show.fit,
      )
      for (const [i, one] of earlier.entries()) Object.assign(one, { done: done[i], touched: touched[i] })
      earlier.push({ readings, asked: turn })
      yield
    }
  }
}

/** Codes around nothing in particular. */
const noise = (i: number) => 60 + ((i * 7919) % 61)

/** Paints the patches over the noise, so that they are looked at as those of a chart are. */
function paint(pixels: Uint8Array, areas: SampledShot['areas'], { patches }: Readings): void {
  const codes = new Map(patches.map(({ patch, rgb }) => [patch, rgb]))
  for (const { patch, quad } of areas) {
    const rgb = codes.get(patch)
    if (rgb === undefined) continue
    const [across, down] = [quad.map(([x]) => x), quad.map(([, y]) => y)]
    for (let y = Math.ceil(Math.min(...down)); y < Math.max(...down); y++)
      for (let x = Math.ceil(Math.min(...across)); x < Math.max(...across); x++)
        for (let c = 0; c < 3; c++) {
          const i = 3 * (y * size.width + x) + c
          pixels[i] = Math.min(Math.max(235 * rgb[c as 0] + noise(i) / 10, 0), 255)
        }
  }
}
