import { deltaE00, type LineUpMatch, labOfView, type MatchInput, primariesConversion } from '@isochip/core'
import { viewer } from '../../packages/core/src/colour/viewer.ts'
import { apply3 } from '../../packages/core/src/linear/mat3.ts'
import { applyModel } from '../../packages/core/src/model/model.ts'
import { matchProblem } from '../../packages/core/src/problem/matchProblem.ts'
import { prepareSamples } from '../../packages/core/src/samples/prepareSamples.ts'
import { chooseKind } from '../../packages/core/src/select/chooseKind.ts'

/**
 * The patches and weights of a match and how far off it is, without its judgement, which costs ten times as much and which a
 * line-up has no part in: for counting thousands of rounds.
 */
export function unjudgedMatch(input: MatchInput): LineUpMatch {
  const { chart, readings, encoding, target, working } = input
  const declared = primariesConversion(encoding.primaries, working)
  const prepared = prepareSamples(chart, readings, encoding, target, {})
  const measure = { declared, viewer: viewer(working, 'scene'), objective: 'perceptual' } as const
  const { problem, fit } = chooseKind('lift-gain-matrix', matchProblem(prepared.samples, measure), true)
  const lab = labOfView(working, 'scene')
  const sampleOf = new Map(prepared.places.map((place, sample) => [place, sample]))
  let [before, after] = [0, 0]
  for (const place of prepared.places) {
    const { patch, light } = prepared.lights[place]!
    const wanted = lab(target.light.get(patch)!)
    before += deltaE00(lab(apply3(declared, light)), wanted) / prepared.places.length
    after += deltaE00(lab(applyModel(fit.model, light)), wanted) / prepared.places.length
  }
  const patches = prepared.lights.flatMap(({ patch }, place) => {
    if (!target.light.has(patch)) return []
    const sample = sampleOf.get(place)
    const excluded = prepared.excluded.get(place)
    const weight = sample === undefined ? 0 : problem.samples.weight[sample]!
    return [{ patch, weight, ...(excluded === undefined ? {} : { excluded }) }]
  })
  return { declared, view: 'scene', patches, summary: { before: { mean: before }, after: { mean: after } } }
}
