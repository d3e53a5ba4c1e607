import { encodeRgb, exp2, isIsochipError, lineUp, type Readings, type Target, type Turn } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { knownEncoding, type ShowPlan } from '../load/planShow.ts'
import { sampleShot } from '../read/sampleShot.ts'

/** As large as patches are in a frame of 1920 × 1080. */
const size = { width: 960, height: 640 }
const rounds = 3
const times = 3

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
  const pixels = new Uint8Array(3 * width * height).map((_, i) => 60 + ((i * 7919) % 61))
  const frame = createFrame(width, height, pixels, 8)
  const corners = [
    [40, 40],
    [width - 40, 40],
    [width - 40, height - 40],
    [40, height - 40],
  ] as const
  const shotBy = (stops: number): Readings => ({
    patches: [...target.light].map(([patch, [r, g, b]]) => {
      const level = exp2(stops)
      return { patch, rgb: encodeRgb(encoding, [1.05 * level * r, level * g, 0.97 * level * b]) }
    }),
  })
  for (let time = 0; time < times; time++) {
    sampleShot([{ ...frame, warnings: [] }], { corners, others: [] }, { chart, encoding })
    yield
    const earlier: { readings: Readings; asked: Turn; done?: number; touched?: boolean }[] = []
    for (let round = 0; round < rounds; round++) {
      const readings = shotBy(0.1 * time - 0.5 + 0.2 * round)
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
