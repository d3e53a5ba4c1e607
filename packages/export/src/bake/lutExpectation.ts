import type { Lab65, Vec3 } from '@isochip/core'
import { type Expected, expectedAt } from './compareTransforms.ts'
import { samplePoints } from './samplePoints.ts'

/** What a LUT over a domain should give: worked out once for every size that is tried. */
export interface LutExpectation {
  /** Points spread over the domain, and points of the neutral axis, where the transform stays within 0…1. */
  readonly everywhere: readonly Expected[]
  readonly neutral: readonly Expected[]
  /** The caller's points. */
  readonly points: readonly Expected[]
  /** Where the transform gives equal channels (within 1e-6): inputs of the neutral axis. */
  readonly grey: readonly Vec3[]
  /** The two ends of the domain, equal in all channels. */
  readonly black: ExpectedCode
  readonly white: ExpectedCode
  /** Share of the points over the domain that `everywhere` leaves out. */
  readonly outside: number
}

type ExpectedCode = Pick<Expected, 'input' | 'code'>

export interface ExpectationOptions {
  readonly domainMin: Vec3
  readonly domainMax: Vec3
  readonly lab: (code: Vec3) => Lab65
  /** Default none. */
  readonly points?: readonly Vec3[]
  /** Points over the whole domain; default 20000. */
  readonly samples?: number
}

const neutralSteps = 1024

/** So that rounding does not push white out of range. */
const slack = 1e-9

const inRange = (code: Vec3) => code.every((x) => x >= -slack && x <= 1 + slack)

/** Largest difference between the channels. */
export const channelSpread = (rgb: Vec3): number => Math.max(...rgb) - Math.min(...rgb)

export function lutExpectation(exact: (code: Vec3) => Vec3, options: ExpectationOptions): LutExpectation {
  const { domainMin, domainMax, lab, points = [], samples = 20_000 } = options
  const place = (f: Vec3): Vec3 => {
    const at = (c: 0 | 1 | 2) => domainMin[c] * (1 - f[c]) + domainMax[c] * f[c]
    return [at(0), at(1), at(2)]
  }
  const everywhere: Expected[] = []
  for (const point of samplePoints(samples)) {
    const input = place(point)
    const code = exact(input)
    if (inRange(code)) everywhere.push({ input, code, lab: lab(code) })
  }
  const axis = Array.from({ length: neutralSteps + 1 }, (_, i): ExpectedCode => {
    const f = i / neutralSteps
    const input = place([f, f, f])
    return { input, code: exact(input) }
  })
  return {
    everywhere,
    neutral: axis.filter(({ code }) => inRange(code)).map((one) => ({ ...one, lab: lab(one.code) })),
    points: points.map((input) => expectedAt(input, exact, lab)),
    grey: axis.filter(({ code }) => channelSpread(code) <= 1e-6).map(({ input }) => input),
    black: axis[0]!,
    white: axis[neutralSteps]!,
    outside: 1 - everywhere.length / samples,
  }
}
