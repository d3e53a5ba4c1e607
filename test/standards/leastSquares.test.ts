import { readFileSync } from 'node:fs'
import {
  builtinChart,
  leastSquares,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'

// numpy.linalg.lstsq on the same numbers: data/least-squares/solve.py made the problems and the solutions.
interface Problem {
  readonly name: string
  readonly design: number[][]
  readonly sides: number[][]
  readonly weights: number[] | null
  readonly solution: number[][]
  readonly rank: number
  readonly condition: number | null
}
interface Match {
  readonly name: string
  readonly source: Vec3[]
  readonly target: Vec3[]
  readonly weights: number[]
  readonly lift: Vec3
  readonly gain: Vec3
  readonly matrix: Vec3[]
}
const oracle = JSON.parse(
  readFileSync(new URL('./data/least-squares/numpy.json', import.meta.url), 'utf8'),
) as { problems: Problem[]; matches: Match[] }

// Both are good to the condition times the rounding of doubles, 2e-16; the worst of these conditions is 3e4.
const tolerance = 1e-10

/** Largest difference relative to the largest term. */
function apart(ours: readonly number[], theirs: readonly number[]): number {
  expect(ours).toHaveLength(theirs.length)
  return Math.max(...theirs.map((value, i) => Math.abs(ours[i]! - value))) / Math.max(...theirs.map(Math.abs))
}

describe('leastSquares against numpy', () => {
  for (const problem of oracle.problems) {
    const { design, sides, weights } = problem
    it(`${problem.name}: solution, rank and condition`, () => {
      const fit = leastSquares(design, sides, weights ?? undefined)
      expect(fit.rank).toBe(problem.rank)
      // Row by row: the terms of a badly scaled problem are of very different size.
      for (const [j, row] of problem.solution.entries()) {
        expect(apart(fit.solution[j]!, row)).toBeLessThan(tolerance)
      }
      if (problem.condition === null) expect(fit.condition).toBe(Number.POSITIVE_INFINITY)
      else expect(fit.condition / problem.condition).toBeCloseTo(1, 9)
    })

    it(`${problem.name}: the same in units 65535 times as large`, () => {
      const units = design[0]!.map((_, j) => (j === 0 ? 1 : 65535))
      const scaled = design.map((row) => row.map((value, j) => units[j]! * value))
      const fit = leastSquares(scaled, sides, weights ?? undefined)
      expect(fit.rank).toBe(problem.rank)
      for (const [j, row] of problem.solution.entries()) {
        expect(
          apart(
            fit.solution[j]!.map((value) => value * units[j]!),
            row,
          ),
        ).toBeLessThan(tolerance)
      }
    })
  }
})

const chart = builtinChart('chart24')
const names = chart.patches.map((patch) => patch.name)

function linearMatch(match: Match, unitIn: number, unitOut: number) {
  const scaled = (values: readonly Vec3[], by: number) =>
    values.map((v): Vec3 => [by * v[0], by * v[1], by * v[2]])
  const target = scaled(match.target, unitOut)
  return matchCamera(
    {
      chart,
      encoding: resolveEncoding('linear'),
      working: resolvePrimaries('bt709'),
      readings: { patches: scaled(match.source, unitIn).map((rgb, i) => ({ patch: names[i]!, rgb })) },
      target: {
        light: new Map(target.map((light, i) => [names[i]!, light])),
        standardError: new Map(),
        excluded: new Map(),
        warnings: [],
      },
    },
    {
      objective: 'linear',
      robust: false,
      evenness: 'off',
      weights: { patches: Object.fromEntries(names.map((name, i) => [name, match.weights[i]!])) },
    },
  )
}

describe('matchCamera with objective linear against numpy', () => {
  for (const match of oracle.matches) {
    it.each([
      [1, 1],
      [65535, 1],
      [65535, 65535],
      [1 / 65535, 1],
    ])(`${match.name}: readings times %d, target times %d`, (unitIn, unitOut) => {
      const { model } = linearMatch(match, unitIn, unitOut)
      expect(
        apart(
          model.lift.map((l) => l / unitIn),
          match.lift,
        ),
      ).toBeLessThan(tolerance)
      expect(
        apart(
          model.gain.map((g) => (g * unitIn) / unitOut),
          match.gain,
        ),
      ).toBeLessThan(tolerance)
      expect(apart(model.matrix.flat(), match.matrix.flat())).toBeLessThan(tolerance)
    })
  }
})
