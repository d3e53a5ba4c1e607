import { type Viewing, viewLab } from '../colour/viewing.ts'
import type { Mat3 } from '../linear/mat3.ts'
import type { Design } from '../model/design.ts'
import { designOf } from '../model/designOf.ts'
import type { ModelKind } from '../model/modelKind.ts'
import { once } from '../once.ts'
import {
  type ChartEvidence,
  chartEvidence,
  type VirtualPatches,
  virtualPatches,
} from '../prior/materials/virtualPatches.ts'
import { drawnReflectances } from '../prior/materials/virtualReflectances.ts'
import { type SensorPrior, sensorPrior } from '../prior/sensorPrior.ts'
import { reweighted, type Samples } from '../samples/samples.ts'

/** By what a match is measured, whatever its patches. */
export interface Measure {
  /** Camera primaries → working primaries, as declared. */
  readonly declared: Mat3
  readonly viewing: Viewing
  readonly objective: 'linear' | 'perceptual'
  /** What cameras are like; default `sensorPrior`. For judging it on sensors that it has not seen. */
  readonly sensors?: SensorPrior
}

/**
 * What is to be solved for one camera: patches, where they are to go, and by what that is measured. What several steps
 * need of it is worked out when it is first asked for, and shared between problems that differ in their weights alone.
 */
export interface MatchProblem extends Measure {
  readonly samples: Samples
  /** The samples that take part: those with a weight above 0, in order. */
  readonly active: readonly number[]
  /** CIELAB of the target as it is viewed: L*, a*, b* of each sample. */
  readonly targetLab: () => Float64Array
  /** A kind of match over these samples. */
  readonly design: (kind: ModelKind) => Design
  readonly prior: () => SensorPrior
  /** What the chart tells of other materials; `undefined` where its spectra are not known. */
  readonly evidence: () => ChartEvidence | undefined
  /** Materials that nothing is fitted to, to judge by; `undefined` likewise. */
  readonly drawn: () => DrawnMaterials | undefined
  /** The same with other weights, one per sample. */
  readonly reweighted: (weight: Float64Array) => MatchProblem
  /** The same with every sample counting alike, those that take no part too. */
  readonly evenly: () => MatchProblem
  /** The same judged by ΔE00. */
  readonly perceptual: () => MatchProblem
}

/** Materials with CIELAB of their target as it is viewed, as of samples. */
interface DrawnMaterials extends VirtualPatches {
  readonly targetLab: Float64Array
}

/** Materials that a match is judged by. */
const draws = 200

/** What does not depend on weights and objective. */
type Shared = Pick<MatchProblem, 'targetLab' | 'design'>

export function matchProblem(samples: Samples, measure: Measure): MatchProblem {
  const designs = new Map<ModelKind, Design>()
  return problemWith(samples, measure, {
    targetLab: once(() => labOf(samples, measure.viewing)),
    design(kind) {
      const known = designs.get(kind) ?? designOf(kind, { samples, declared: measure.declared })
      designs.set(kind, known)
      return known
    },
  })
}

function problemWith(samples: Samples, measure: Measure, shared: Shared): MatchProblem {
  const { declared, viewing, objective, sensors } = measure
  const prior = () => sensors ?? sensorPrior()
  const active: number[] = []
  for (let p = 0; p < samples.count; p++) if (samples.weight[p]! > 0) active.push(p)
  const problem: MatchProblem = {
    samples,
    declared,
    viewing,
    objective,
    ...(sensors === undefined ? {} : { sensors }),
    active,
    ...shared,
    prior,
    evidence: once(() => chartEvidence(samples, prior())),
    drawn: once(() => {
      const evidence = problem.evidence()
      const patches = evidence && virtualPatches(evidence, drawnReflectances(evidence.reflectances, draws))
      return patches && { ...patches, targetLab: labOf(patches, viewing) }
    }),
    reweighted: (weight) => problemWith(reweighted(samples, weight), measure, shared),
    evenly: once(() => problem.reweighted(new Float64Array(samples.count).fill(1))),
    perceptual: () =>
      objective === 'perceptual'
        ? problem
        : problemWith(samples, { ...measure, objective: 'perceptual' }, shared),
  }
  return problem
}

function labOf({ count, target }: Pick<Samples, 'count' | 'target'>, viewing: Viewing): Float64Array {
  const all = new Float64Array(3 * count)
  const lab = new Float64Array(3)
  for (let p = 0; p < count; p++) {
    viewLab(viewing, target[3 * p]!, target[3 * p + 1]!, target[3 * p + 2]!, lab)
    for (let c = 0; c < 3; c++) all[3 * p + c] = lab[c]!
  }
  return all
}
