import type { Interval, Intervals } from '../match/result.ts'
import type { MatchModel } from '../model/model.ts'
import { type Covariance, parameterList, type StandardErrors } from './covariance.ts'
import { studentQuantile } from './studentQuantile.ts'

/** 95 % intervals of a linear kind from its analytic standard errors. `undefined` for the others, or where there are none. */
export function intervalsOf(
  model: MatchModel,
  covarianceOf: () => Covariance | undefined,
): Intervals | undefined {
  if (model.rootPolynomial !== undefined) return undefined
  const covariance = covarianceOf()
  if (covariance === undefined) return undefined
  const values = parameterList(model)
  const errors = parameterErrors(covariance.standardErrors())
  const freedom = covariance.freedom()
  return shape(
    values.map((value, i) => {
      const half = studentQuantile(0.975, freedom[i]!) * errors[i]!
      return { standardError: errors[i]!, low: value - half, high: value + half }
    }),
  )
}

function parameterErrors({ lift, gain, matrix }: StandardErrors): number[] {
  return [...lift, ...gain, ...matrix.flat()]
}

/** Fifteen intervals in the order of `parameterList` → the shape of the parameters. */
export function shape(list: readonly Interval[]): Intervals {
  const three = (at: number) => [list[at]!, list[at + 1]!, list[at + 2]!] as const
  return { lift: three(0), gain: three(3), matrix: [three(6), three(9), three(12)] }
}
