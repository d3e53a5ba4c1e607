import { given, IsochipError, type Vec3 } from '@isochip/core'
import { bakeLattice } from '../bake/bakeLattice.ts'
import type { ProcessList } from '../clf/processList.ts'
import { type Interpolation, lutTransform } from '../interpolate/lutTransform.ts'
import type { CurveLut, LatticeLut, Lut } from '../lut/lut.ts'

/** One transform after the other, first to last: exact, nothing is sampled. */
export function chainTransforms(...transforms: readonly ((code: Vec3) => Vec3)[]): (code: Vec3) => Vec3 {
  return (code) => transforms.reduce((value, f) => f(value), code)
}

export interface ConcatenateOptions {
  /** Nodes of the result; default those of the larger lattice. */
  readonly size?: number
  readonly interpolation?: Interpolation
  readonly title?: string
}

/**
 * Two LUTs as one, `first` then `second` (a match, then a look). Two 1D LUTs stay one; anything else becomes a
 * lattice on the domain of the first. At its nodes the result is exact; between them it interpolates.
 *
 * @throws IsochipError `lut-limits`
 */
export function concatenateLuts(
  first: Lut,
  second: Lut,
  options: ConcatenateOptions = {},
): LatticeLut | CurveLut {
  const both = chainTransforms(
    lutTransform(first, options.interpolation),
    lutTransform(second, options.interpolation),
  )
  const input = first.kind === 'shaped' ? first.curve : first
  const title = given({ title: options.title })
  if (first.kind === 'curve' && second.kind === 'curve') {
    const size = options.size ?? Math.max(first.size, second.size)
    const table = new Float64Array(3 * size)
    for (let i = 0; i < size; i++) {
      const f = i / (size - 1)
      const at = (c: 0 | 1 | 2) => first.domainMin[c] * (1 - f) + first.domainMax[c] * f
      table.set(both([at(0), at(1), at(2)]), 3 * i)
    }
    return { ...first, ...title, size, table }
  }
  const size = options.size ?? Math.max(latticeSize(first), latticeSize(second))
  return bakeLattice(both, { size, ...title, domain: { min: input.domainMin, max: input.domainMax } })
}

function latticeSize(lut: Lut): number {
  if (lut.kind === 'lattice') return lut.size
  return lut.kind === 'shaped' ? lut.lattice.size : 0
}

/**
 * Two process lists as one. Nothing is sampled.
 *
 * @throws IsochipError `lut-limits` where the first ends in another bit depth than the second starts with.
 */
export function concatenateProcessLists(first: ProcessList, second: ProcessList, id: string): ProcessList {
  const end = first.nodes.at(-1)?.outBitDepth ?? '32f'
  const start = second.nodes[0]?.inBitDepth ?? '32f'
  if (end !== start) {
    throw new IsochipError(
      'lut-limits',
      `"${first.id}" ends in ${end}, but "${second.id}" starts with ${start}`,
    )
  }
  const descriptions = [...(first.descriptions ?? []), ...(second.descriptions ?? [])]
  return {
    id,
    ...(descriptions.length === 0 ? {} : { descriptions }),
    ...given({ inputDescriptor: first.inputDescriptor, outputDescriptor: second.outputDescriptor }),
    nodes: [...first.nodes, ...second.nodes],
  }
}
