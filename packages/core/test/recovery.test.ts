import {
  applyModel,
  builtinChart,
  type FittedMatch,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  type Target,
  type Vec3,
} from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'

const chart = builtinChart('chart24')
const working = resolvePrimaries('bt709')
const linear = resolveEncoding('linear')

/** Three thousandths between the bounds. */
function triple(min: number, max: number): fc.Arbitrary<Vec3> {
  const number = fc.integer({ min, max }).map((n) => n / 1000)
  return fc.tuple(number, number, number)
}

/** Light of a random scene for every patch of the chart: spread out enough to tell all terms apart. */
const scene = fc.array(triple(5, 900), {
  minLength: 24,
  maxLength: 24,
})

const off = () => fc.integer({ min: -200, max: 200 }).map((n) => n / 1000)
const truth = fc
  .record({
    lift: triple(-20, 20),
    gain: triple(300, 3000),
    off: fc.tuple(off(), off(), off(), off(), off(), off()),
  })
  .map(({ lift, gain, off: [a, b, c, d, e, f] }) => ({
    lift,
    gain,
    matrix: [
      [1 - a - b, a, b],
      [c, 1 - c - d, d],
      [e, f, 1 - e - f],
    ] as const,
  }))

/** A camera that sees what has to be matched to give the scene. */
function shoot(
  lights: readonly Vec3[],
  parts: { lift: Vec3; gain: Vec3; matrix: readonly [Vec3, Vec3, Vec3] },
) {
  const model = { kind: 'lift-gain-matrix' as const, ...parts }
  const target: Target = {
    light: new Map(chart.patches.map((patch, i) => [patch.name, applyModel(model, lights[i]!)])),
    standardError: new Map(),
    excluded: new Map(),
    warnings: [],
  }
  const readings = { patches: chart.patches.map((patch, i) => ({ patch: patch.name, rgb: lights[i]! })) }
  return { chart, readings, encoding: linear, target, working }
}

function largestError(
  match: FittedMatch,
  parts: { lift: Vec3; gain: Vec3; matrix: readonly [Vec3, Vec3, Vec3] },
) {
  const list = (p: typeof parts) => [...p.lift, ...p.gain, ...p.matrix.flat()]
  return Math.max(...list(match.model).map((value, i) => Math.abs(value - list(parts)[i]!)))
}

describe('a known lift, gain and matrix', () => {
  // A perceptual fit takes ten times as long as a linear one, whose every step it goes through.
  for (const [objective, numRuns] of [
    ['linear', 100],
    ['perceptual', wholeTask ? 100 : 24],
  ] as const) {
    it(`comes back from noise-free patches to 1e-9 (${objective})`, () => {
      fc.assert(
        fc.property(scene, truth, (lights, parts) => {
          const match = matchCamera(shoot(lights, parts), { objective })
          expect(largestError(match, parts)).toBeLessThan(1e-9)
        }),
        { numRuns, endOnFailure: true },
      )
    })
  }
})
