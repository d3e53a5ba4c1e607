import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { levenbergMarquardt } from '../../packages/core/src/solver/levenbergMarquardt.ts'
import { Dual } from '../support/dual.ts'

// NIST Statistical Reference Datasets, nonlinear regression: certified values and the models as printed in the files.

type Model = (b: readonly Dual[], x: readonly number[]) => Dual

const polynomial = (coefficients: readonly Dual[], x: number) =>
  coefficients.reduceRight(
    (sum, c) => sum.times(x).plus(c),
    new Dual(
      0,
      coefficients[0]!.slopes.map(() => 0),
    ),
  )
const one = (b: readonly Dual[]) =>
  new Dual(
    1,
    b[0]!.slopes.map(() => 0),
  )

const models: Record<string, Model> = {
  Misra1a: ([b1, b2], [x]) => b1!.times(b2!.times(-x!).exp().times(-1).plus(1)),
  BoxBOD: ([b1, b2], [x]) => b1!.times(b2!.times(-x!).exp().times(-1).plus(1)),
  Bennett5: ([b1, b2, b3], [x]) => b1!.times(b2!.plus(x!).power(new Dual(-1, [0, 0, 0]).over(b3!))),
  Eckerle4: ([b1, b2, b3], [x]) => {
    const z = b3!.times(-1).plus(x!).over(b2!)
    return b1!.over(b2!).times(z.times(z).times(-0.5).exp())
  },
  Hahn1: (b, [x]) => polynomial(b.slice(0, 4), x!).over(polynomial([one(b), ...b.slice(4)], x!)),
  Thurber: (b, [x]) => polynomial(b.slice(0, 4), x!).over(polynomial([one(b), ...b.slice(4)], x!)),
  Kirby2: (b, [x]) => polynomial(b.slice(0, 3), x!).over(polynomial([one(b), ...b.slice(3)], x!)),
  Lanczos3: (b, [x]) => {
    const term = (i: number) => b[i]!.times(b[i + 1]!.times(-x!).exp())
    return term(0).plus(term(2)).plus(term(4))
  },
  MGH09: ([b1, b2, b3, b4], [x]) =>
    b1!.times(b2!.times(x!).plus(x! * x!)).over(
      b3!
        .times(x!)
        .plus(x! * x!)
        .plus(b4!),
    ),
  MGH10: ([b1, b2, b3], [x]) => b1!.times(b2!.over(b3!.plus(x!)).exp()),
  Nelson: ([b1, b2, b3], [x1, x2]) => b1!.minus(b2!.times(x1!).times(b3!.times(-x2!).exp())),
  Rat43: ([b1, b2, b3, b4], [x]) =>
    b1!.over(
      b2!
        .minus(b3!.times(x!))
        .exp()
        .plus(1)
        .power(new Dual(1, [0, 0, 0, 0]).over(b4!)),
    ),
}

function readProblem(name: string) {
  const lines = readFileSync(new URL(`./data/nist-strd/${name}.dat`, import.meta.url), 'utf8').split('\n')
  const numbers = (line: string) => line.trim().split(/\s+/).map(Number)
  const parameters = lines
    .filter((line) => /^\s*b\d+\s*=/.test(line))
    .map((line) => numbers(line.split('=')[1]!))
  const dataAt = lines.findLastIndex((line) => line.startsWith('Data:')) + 1
  const data = lines
    .slice(dataAt)
    .filter((line) => line.trim() !== '')
    .map(numbers)
  const cost = Number(lines.find((line) => line.startsWith('Residual Sum of Squares'))!.split(':')[1])
  return {
    starts: [parameters.map((p) => p[0]!), parameters.map((p) => p[1]!)],
    certified: parameters.map((p) => p[2]!),
    cost,
    data,
  }
}

describe('nonlinear least squares on the NIST StRD problems', () => {
  for (const [name, model] of Object.entries(models)) {
    const { starts, certified, cost, data } = readProblem(name)
    // Nelson is printed for log[y].
    const y = data.map((row) => (name === 'Nelson' ? Math.log(row[0]!) : row[0]!))
    for (const [i, start] of starts.entries()) {
      it(`${name}, start ${i + 1}: six digits or more`, () => {
        const solution = levenbergMarquardt(
          {
            parameters: certified.length,
            residuals: data.length,
            evaluate(theta, residuals, jacobian) {
              const b = Dual.parameters(theta)
              for (const [k, row] of data.entries()) {
                const { value, slopes } = model(b, row.slice(1))
                residuals[k] = value - y[k]!
                jacobian.set(slopes, k * certified.length)
              }
              return residuals.every(Number.isFinite) && jacobian.every(Number.isFinite)
            },
          },
          start,
          { maxIterations: 30000 },
        )
        expect(solution.converged).toBe(true)
        for (const [j, value] of certified.entries()) {
          expect(Math.abs(solution.theta[j]! / value - 1)).toBeLessThan(1e-6)
        }
        expect(Math.abs(solution.cost / cost - 1)).toBeLessThan(1e-6)
      })
    }
  }
})
