import { type DecodedFrame, parseReadings } from '@isochip/frames'
import { placeChart, sampleShot } from '@isochip/show'
import type { Answers, Ask } from '../messages.ts'
import { framesOf } from './framesOf.ts'
import { previewOf } from './look/previewOf.ts'
import { chartOf, encodingOf } from './planOf.ts'
import { sha256 } from './sha256.ts'

type ReadAsk = Extract<Ask, { kind: 'read' }>

/** The frames decoded last: moved corners are read again from them, without a wait. */
let kept: { readonly sourceNumber: number; readonly frames: readonly DecodedFrame[] } | undefined

/** One shot: its readings file, or its frames, in which the chart is found and sampled. */
export async function readSource(ask: ReadAsk): Promise<Answers['read']> {
  const { camera, setup, source, sourceNumber, corners, files } = ask
  const [chart, encoding] = await Promise.all([chartOf(ask.chart, files), encodingOf(ask.encoding, files)])
  const hashing = Promise.all(
    ('files' in source ? source.files : []).map(async ({ path, file }) => {
      return { path, sha256: await sha256(file), camera, setup }
    }),
  )
  if ('files' in source && /\.csv$/i.test(source.files[0]!.path)) {
    const { path, file } = source.files[0]!
    const [text, inputs] = await Promise.all([file.text(), hashing])
    return { readings: { camera, setup, readings: parseReadings(text, path, chart), inputs }, cautions: [] }
  }
  // The browser hashes and decodes elsewhere, both at once.
  const [frames, inputs] = await Promise.all([
    kept?.sourceNumber === sourceNumber ? kept.frames : framesOf(source),
    hashing,
  ])
  kept = { sourceNumber, frames }
  const first = frames[0]!
  // Where the signal clips is of no use in finding, and what is said of clips is about files.
  const { clip: _, ...looked } = first
  const placed = placeChart(looked, chart, corners)
  const { readings, bits, warnings, areas } = sampleShot(frames, placed, { chart, encoding })
  const foreign = new Set(readings.patches.flatMap((one) => (one.foreign ? [one.patch] : [])))
  return {
    readings: { camera, setup, readings, bits, inputs, warnings },
    frame: {
      width: first.width,
      height: first.height,
      corners: placed.corners,
      areas: areas.map(({ patch, quad }) => ({ patch, quad, foreign: foreign.has(patch) })),
      picture: await previewOf(first),
    },
    cautions: warnings.map(({ message, place }) =>
      place?.patch === undefined ? message : `${place.patch}: ${message}`,
    ),
  }
}
