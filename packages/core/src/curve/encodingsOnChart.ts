import type { Chart } from '../chart/chart.ts'
import { type Primaries, primariesConversion } from '../colour/primaries.ts'
import { viewing } from '../colour/viewing.ts'
import { resolveEncoding } from '../encoding/encoding.ts'
import type { Readings } from '../readings.ts'
import { prepareSamples } from '../samples/prepareSamples.ts'
import type { Target } from '../target/target.ts'
import { type TriedEncoding, tryEncodings } from './tryEncodings.ts'

/**
 * Which encodings would explain a chart of which nothing is known? Each is tried with a lift-gain-matrix match to the
 * target, and given with the mean ΔE00 that it leaves, best first.
 *
 * @param readings code values as fractions of the full range
 * @throws IsochipError `too-few-patches`, `clipped`, `readings-invalid`
 */
export function encodingsOnChart(
  chart: Chart,
  readings: Readings,
  target: Target,
  working: Primaries,
): TriedEncoding[] {
  const encoding = resolveEncoding({ transfer: { power: 2.4 }, primaries: 'bt709' })
  const measure = {
    declared: primariesConversion(encoding.primaries, working),
    viewing: viewing(working, 'scene'),
    objective: 'perceptual' as const,
  }
  const prepared = prepareSamples(chart, readings, encoding, target, {})
  return tryEncodings({ encoding, readings, working, measure, prepared, samples: prepared.samples })
}
