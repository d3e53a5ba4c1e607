import { given, type Vec3 } from '@isochip/core'
import { type CurveLut, checkLut, type ShapedLut } from '../lut/lut.ts'
import { bakeSteps } from './bakeMatch.ts'
import type { NodeOptions } from './bakeNodes.ts'
import { boundedTriples } from './bounded/boundedLattice.ts'
import { codeCurves } from './codeCurves.ts'
import { type EncodedMatch, matchSteps, stepsTriples } from './matchTransform.ts'

export interface ShapedOptions extends NodeOptions {
  /** Nodes along each axis of the lattice, 2…256. */
  readonly size: number
  /** Entries of the curve, 2…65536; default 65536, one per 16-bit code. */
  readonly curveSize?: number
  readonly title?: string
}

/**
 * A match as a curve and a lattice: the curve takes the camera's codes to the output's curve, so that the lattice has
 * its nodes where the output has its codes. Worth it where the camera's codes are spaced so unlike the output's
 * (linear light) that the first cell of a plain lattice holds all shadows. A `.cube` file has no place for the curve;
 * the Common LUT Format has. With bounded nodes, curve and domain are within 0…1 too.
 *
 * @throws IsochipError `lut-limits`
 */
export function bakeShaped(match: EncodedMatch, options: ShapedOptions): ShapedLut {
  const { size, curveSize = 65536, title, nodes = 'float' } = options
  const { output, bits = 10 } = match
  const { decode, light, encode } = matchSteps(match)
  const table = new Float64Array(3 * curveSize)
  for (const c of [0, 1, 2] as const) {
    const same = c > 0 && decode[c] === decode[0] && encode[c] === encode[0]
    for (let i = 0; i < curveSize; i++) table[3 * i + c] = same ? table[3 * i]! : i / (curveSize - 1)
    if (same) continue
    decode[c].each(table, c, 3)
    encode[c].each(table, c, 3)
  }
  const named = given({ title })
  const curve: CurveLut = {
    kind: 'curve',
    ...named,
    size: curveSize,
    domainMin: [0, 0, 0],
    domainMax: [1, 1, 1],
    table,
  }
  checkLut(curve)
  const last = table.length - 3
  const steps = { decode: codeCurves(output, bits).decode, light, encode }
  const min: Vec3 = [table[0]!, table[1]!, table[2]!]
  const max: Vec3 = [table[last]!, table[last + 1]!, table[last + 2]!]
  const baking = { size, ...named, domain: { min, max } }
  if (nodes === 'float') return { kind: 'shaped', ...named, curve, lattice: bakeSteps(steps, baking) }
  const whole = given({ bits: options.nodeBits })
  const lattice = boundedTriples(stepsTriples(steps), { ...baking, ...whole })
  // The same lattice over 0…1, and a curve that ends there.
  for (const c of [0, 1, 2] as const) {
    for (let i = c; i < table.length; i += 3) table[i] = unit((table[i]! - min[c]) / (max[c] - min[c]))
  }
  return {
    kind: 'shaped',
    ...named,
    curve,
    lattice: { ...lattice, domainMin: [0, 0, 0], domainMax: [1, 1, 1] },
  }
}

const unit = (x: number) => Math.min(Math.max(x, 0), 1)
