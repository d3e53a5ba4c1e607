import type { Vec3 } from '@isochip/core'
import { type TripleMap, tripleAt } from '../lut/triples.ts'
import { type Expected, expectedAt, expectedOf } from './compareTransforms.ts'
import { sampleTriples } from './samplePoints.ts'

/** What a LUT over a domain should give: worked out once for every size that is tried. */
export interface LutExpectation {
  /** Points spread over the domain, and points of the neutral axis, where the transform stays within 0…1. */
  readonly everywhere: Expected
  readonly neutral: Expected
  /** The caller's points. */
  readonly points: Expected
  /** Where the transform gives equal channels (within 1e-6): inputs of the neutral axis. */
  readonly grey: Float64Array
  /** The two ends of the domain, equal in all channels. */
  readonly black: ExpectedCode
  readonly white: ExpectedCode
  /** Share of the points over the domain that `everywhere` leaves out. */
  readonly outside: number
  /** All points over the domain and of the neutral axis. */
  readonly inputs: Float64Array
}

interface ExpectedCode {
  readonly input: Vec3
  readonly code: Vec3
}

export interface ExpectationOptions {
  readonly domainMin: Vec3
  readonly domainMax: Vec3
  readonly lab: TripleMap
  /** Default none. */
  readonly points?: readonly Vec3[]
  /** Points over the whole domain; default 20000. */
  readonly samples?: number
}

const neutralSteps = 1024

/** So that rounding does not push white out of range. */
export const slack = 1e-9

const inRange = (x: number) => x >= -slack && x <= 1 + slack

/** Largest difference between the channels. */
export const channelSpread = (r: number, g: number, b: number): number =>
  Math.max(r, g, b) - Math.min(r, g, b)

export function lutExpectation(exact: TripleMap, options: ExpectationOptions): LutExpectation {
  const { domainMin, domainMax, lab, points = [], samples = 20_000 } = options
  /** Fractions of the domain → inputs, in place. */
  const place = (fractions: Float64Array) => {
    for (const c of [0, 1, 2] as const) {
      const [min, max] = [domainMin[c], domainMax[c]]
      for (let i = c; i < fractions.length; i += 3) {
        const f = fractions[i]!
        fractions[i] = min * (1 - f) + max * f
      }
    }
    return fractions
  }
  const inputs = place(sampleTriples(samples))
  const codes = inputs.slice()
  exact(codes)
  const everywhere = within(inputs, codes, lab)
  const axis = place(greyAxis())
  const axisCodes = axis.slice()
  exact(axisCodes)
  const end = (i: number): ExpectedCode => ({ input: tripleAt(axis, i), code: tripleAt(axisCodes, i) })
  return {
    everywhere,
    neutral: within(axis, axisCodes, lab),
    points: expectedAt(Float64Array.from(points.flat()), exact, lab),
    grey: chosen(axis, axisCodes, (r, g, b) => channelSpread(r, g, b) <= 1e-6),
    black: end(0),
    white: end(3 * neutralSteps),
    outside: 1 - everywhere.inputs.length / 3 / samples,
    inputs: joined(inputs, axis),
  }
}

function joined(a: Float64Array, b: Float64Array): Float64Array {
  const both = new Float64Array(a.length + b.length)
  both.set(a)
  both.set(b, a.length)
  return both
}

function greyAxis(): Float64Array {
  const triples = new Float64Array(3 * (neutralSteps + 1))
  for (let i = 0; i <= neutralSteps; i++) triples.fill(i / neutralSteps, 3 * i, 3 * i + 3)
  return triples
}

/** Where the codes are within 0…1. */
function within(inputs: Float64Array, codes: Float64Array, lab: TripleMap): Expected {
  const keep = (r: number, g: number, b: number) => inRange(r) && inRange(g) && inRange(b)
  return expectedOf(chosen(inputs, codes, keep), chosen(codes, codes, keep), lab)
}

/** The triples at whose place `codes` has one that is wanted. */
function chosen(
  triples: Float64Array,
  codes: Float64Array,
  wanted: (r: number, g: number, b: number) => boolean,
): Float64Array {
  const out = new Float64Array(triples.length)
  let end = 0
  for (let i = 0; i < triples.length; i += 3) {
    if (!wanted(codes[i]!, codes[i + 1]!, codes[i + 2]!)) continue
    out[end++] = triples[i]!
    out[end++] = triples[i + 1]!
    out[end++] = triples[i + 2]!
  }
  return out.subarray(0, end)
}
