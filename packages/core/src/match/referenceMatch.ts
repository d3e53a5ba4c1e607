import { primariesConversion } from '../colour/primaries.ts'
import { decodeRgb } from '../encoding/encoding.ts'
import { applyModel, type Conversion } from '../model/model.ts'
import type { MatchInput } from './matchInput.ts'
import type { ReferenceMatch } from './result.ts'

/**
 * The reference camera, which the others are matched to: the conversion between the declared primaries, and the chart's
 * patches in the working primaries. Its LUT changes the encoding and nothing else.
 */
export function referenceMatch({
  readings,
  encoding,
  target,
  working,
}: Omit<MatchInput, 'chart'>): ReferenceMatch {
  const model: Conversion = {
    kind: 'conversion',
    matrix: primariesConversion(encoding.primaries, working),
  }
  const patches = readings.patches.map(({ patch, rgb }) => {
    const excluded = target.excluded.get(patch)
    return {
      patch,
      source: applyModel(model, decodeRgb(encoding, rgb)),
      ...(excluded === undefined ? {} : { excluded }),
    }
  })
  return { kind: 'reference', model, patches, warnings: [] }
}
