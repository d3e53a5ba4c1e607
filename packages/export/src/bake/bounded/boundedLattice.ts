import { exp2, IsochipError, type Vec3 } from '@isochip/core'
import { firstNotFinite, type LatticeLut } from '../../lut/lut.ts'
import { type TripleMap, tripleAt, tripleMap } from '../../lut/triples.ts'
import { type BakeOptions, emptyLattice, nodeInputs, notFinite } from '../bakeLattice.ts'
import { channelSpread } from '../lutExpectation.ts'
import { NodeEquations } from './nodeEquations.ts'

export interface BoundedOptions extends BakeOptions {
  /** Whole steps for the nodes: multiples of 1 / (2^bits − 1), 8…16. Default: any number from 0 to 1. */
  readonly bits?: number
}

/** Larger than any LUT box takes, and all that memory bears: 64 numbers per node. */
const largest = 129

/** So many samples along an axis, where that is two or more a cell. */
const samplesAlong = 128
/** Samples a cell along the neutral axis. */
const greySamples = 16
/** How far beyond 0…1 the transform has to be for a sample to count half. */
const soft = 0.03
/** Channels no further apart are one: the step of BT.709 at its break is 2.4e-4. */
const alike = 3e-4
/** Share of a node's weight that holds it at the transform's own number. */
const held = 0.3

/**
 * Samples a transform on a lattice for boxes that store integers: the nodes stay within 0…1, which cuts nothing off
 * that a plain lattice keeps beyond. Nodes beside the colours at which the transform leaves 0…1 are moved, so that the
 * tetrahedral interpolation is nearest to the transform's result, cut to 0…1: least squares over samples within the
 * cells, of which those beyond 0…1 count the less the further they are. Neutrals come first and by themselves, so that what the
 * transform leaves neutral stays neutral; both ends of the neutral axis are exact.
 *
 * @throws IsochipError `lut-limits` for a size above 129 or below 2, bits out of range, or where the transform is not finite.
 */
export function boundedLattice(transform: (code: Vec3) => Vec3, options: BoundedOptions): LatticeLut {
  return boundedTriples(tripleMap(transform), options)
}

/** The same for a transform of many colours at once. */
export function boundedTriples(exact: TripleMap, options: BoundedOptions): LatticeLut {
  const { size, bits } = options
  if (size > largest) fail(`lattice size is ${size}, expected at most ${largest} with bounded nodes`)
  if (bits !== undefined && !(Number.isInteger(bits) && bits >= 8 && bits <= 16)) {
    fail(`bits of the nodes are ${bits}, expected a whole number from 8 to 16`)
  }
  const lut = emptyLattice(options)
  const table = lut.tableRedFastest
  const steps = bits === undefined ? 0 : exp2(bits) - 1
  const fixed = new Uint8Array(size * size * size)
  const diagonal = 1 + size + size * size
  const solve = (equations: NodeEquations) => {
    equations.solve(table, fixed)
    if (steps > 0) equations.solveWhole(table, fixed, steps)
  }
  fixed[0] = 1
  fixed[fixed.length - 1] = 1
  ends(lut, exact, steps)
  solve(greyEquations(lut, exact))
  for (let node = 0; node < fixed.length; node += diagonal) fixed[node] = 1
  const all = latticeEquations(lut, exact, fixed)
  all.hold(table, held)
  solve(all)
  return lut
}

const fail = (message: string): never => {
  throw new IsochipError('lut-limits', message)
}

const clip = (x: number) => Math.min(Math.max(x, 0), 1)

/** Black and white of the domain, as they are; on whole steps the nearest. */
function ends(lut: DoubleLattice, exact: TripleMap, steps: number): void {
  const { domainMin, domainMax, tableRedFastest: table } = lut
  const codes = Float64Array.from([...domainMin, ...domainMax])
  through(exact, codes)
  for (let i = 0; i < 6; i++) {
    const code = clip(codes[i]!)
    table[i < 3 ? i : table.length - 6 + i] = steps > 0 ? Math.round(code * steps) / steps : code
  }
}

type DoubleLattice = ReturnType<typeof emptyLattice>

/** Along the neutral axis only. */
function greyEquations(lut: DoubleLattice, exact: TripleMap): NodeEquations {
  const { size } = lut
  const equations = new NodeEquations(size)
  const fine = (size - 1) * greySamples + 1
  const [reds, greens, blues] = nodeInputs({ ...lut, size: fine })
  const codes = Float64Array.from({ length: 3 * fine }, (_, i) => {
    const at = Math.floor(i / 3)
    return i % 3 === 0 ? reds[at]! : i % 3 === 1 ? greens[at]! : blues[at]!
  })
  through(exact, codes)
  for (let i = 0; i < fine; i++) {
    // Rounding may send the channels to different sides of a break, where BT.709 prints a small step.
    const [r, g, b] = [codes[3 * i]!, codes[3 * i + 1]!, codes[3 * i + 2]!]
    if (channelSpread(r, g, b) < alike) codes.fill(g, 3 * i, 3 * i + 3)
    const cell = Math.min(Math.floor(i / greySamples), size - 2)
    const f = (i - cell * greySamples) / greySamples
    equations.add(cell * (1 + size + size * size), f, f, f, weightOf(codes, 3 * i), codes, 3 * i)
  }
  return equations
}

/** Over all of the lattice; the nodes that are not fixed become the transform's own numbers, cut to 0…1. */
function latticeEquations(lut: DoubleLattice, exact: TripleMap, fixed: Uint8Array): NodeEquations {
  const { size, tableRedFastest: table } = lut
  const equations = new NodeEquations(size)
  const part = Math.max(2, Math.floor(samplesAlong / (size - 1)))
  const fine = (size - 1) * part + 1
  const [reds, greens, blues] = nodeInputs({ ...lut, size: fine })
  const cell = Int32Array.from({ length: fine }, (_, i) => Math.min(Math.floor(i / part), size - 2))
  const fraction = Float64Array.from(cell, (of, i) => (i - of * part) / part)
  const plane = new Float64Array(3 * fine * fine)
  for (let k = 0; k < fine; k++) {
    for (let j = 0, at = 0; j < fine; j++) {
      for (let i = 0; i < fine; i++) {
        plane[at++] = reds[i]!
        plane[at++] = greens[j]!
        plane[at++] = blues[k]!
      }
    }
    through(exact, plane, (i) => [reds[i % fine]!, greens[Math.floor(i / fine)]!, blues[k]!])
    for (let j = 0, at = 0; j < fine; j++) {
      const row = size * (cell[j]! + size * cell[k]!)
      for (let i = 0; i < fine; i++, at += 3) {
        const weight = weightOf(plane, at)
        equations.add(cell[i]! + row, fraction[i]!, fraction[j]!, fraction[k]!, weight, plane, at)
      }
    }
    if (k % part !== 0) continue
    for (let j = 0; j < size; j++) {
      for (let i = 0; i < size; i++) {
        const node = i + size * (j + (size * k) / part)
        if (fixed[node] !== 0) continue
        const at = 3 * part * (i + fine * j)
        for (let c = 0; c < 3; c++) table[3 * node + c] = clip(plane[at + c]!)
      }
    }
  }
  return equations
}

function through(exact: TripleMap, triples: Float64Array, input?: (index: number) => Vec3): void {
  const before = input === undefined ? triples.slice() : triples
  exact(triples)
  const bad = firstNotFinite(triples)
  if (bad < 0) return
  const index = Math.floor(bad / 3)
  throw notFinite(input?.(index) ?? tripleAt(before, 3 * index), tripleAt(triples, 3 * index))
}

/** 1 within 0…1, the less the further the colour is beyond. */
function weightOf(triples: Float64Array, at: number): number {
  const r = triples[at]!
  const g = triples[at + 1]!
  const b = triples[at + 2]!
  const beyond = Math.max(0, -r, r - 1, -g, g - 1, -b, b - 1) / soft
  return 1 / (1 + beyond * beyond)
}
