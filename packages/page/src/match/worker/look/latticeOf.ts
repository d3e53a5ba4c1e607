import { type Encoding, resolveEncoding } from '@isochip/core'
import { bakeMatch } from '@isochip/export'
import type { Answers, Ask } from '../../messages.ts'

/** Nodes per axis: what is looked at needs no more. */
const size = 33

/** The LUT of a camera for its running picture: nominal levels to nominal levels, whatever the range of the delivered one. */
export function latticeOf({
  lut: { source, output, ...rest },
}: Extract<Ask, { kind: 'lattice' }>): Answers['lattice'] {
  const lut = bakeMatch({ ...rest, source: full(source), output: full(output) }, { size })
  return { lattice: { ...lut, tableRedFastest: Float32Array.from(lut.tableRedFastest) } }
}

const full = (spec: Encoding['spec']) => resolveEncoding({ ...spec, range: 'full' })
