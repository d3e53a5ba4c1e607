import { covarianceOf } from '../diagnose/covariance.ts'
import { IsochipError } from '../errors.ts'
import { fitKind } from '../fit/fitKind.ts'
import type { ModelKind } from '../model/modelKind.ts'
import { once } from '../once.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Choice } from './choice.ts'
import { chooseAuto } from './chooseAuto.ts'
import { illPosedness } from './illPosedness.ts'
import { settled } from './settled.ts'

/**
 * The kind that was asked for, or for `auto` the one that is best on materials beside the chart (`chooseAuto`).
 *
 * @throws IsochipError where the patches do not carry the kind asked for, or (for `auto`) any kind
 */
export function chooseKind(requested: ModelKind | 'auto', problem: MatchProblem, robust: boolean): Choice {
  if (requested === 'auto') return chooseAuto(problem, robust)
  const fitted = settled(fitKind(requested, problem), problem, robust)
  const covariance = once(() => covarianceOf(fitted.fit, fitted.problem))
  const illPosed = illPosedness(fitted.fit, fitted.problem, covariance)
  if (illPosed !== undefined) {
    throw new IsochipError(
      'rank-deficient',
      `the patches do not determine the model ${requested}: ${illPosed}`,
      {
        hint: 'are the patches nearly of one colour, or very noisy? use model lift-gain or gain, or auto',
      },
    )
  }
  return { ...fitted, covariance, warnings: [] }
}
