import { IsochipError, type TransferTable, type Vec3 } from '@isochip/core'
import { processListTransform } from '../clf/evaluate.ts'
import type { ProcessList } from '../clf/processList.ts'
import type { CurveLut } from '../lut/lut.ts'

/** Codes at which a process list is sampled. */
const samples = 4096

/**
 * A 1D LUT or a process list that linearises a camera's codes, as a transfer characteristic for an encoding. The
 * process list must act on each channel alone; it is sampled at 4096 codes from 0 to 1. Whether the curve rises is
 * checked where it is used (`resolveEncoding`).
 *
 * @throws IsochipError `encoding-unknown` for a 1D LUT whose channels have different domains, and for a process list in
 * which one channel depends on another
 */
export function transferTableOf(source: CurveLut | ProcessList): TransferTable {
  if ('nodes' in source) {
    const f = processListTransform(source)
    checkApart(source, f)
    const code = Array.from({ length: samples }, (_, i) => i / (samples - 1))
    const answers = code.map((x) => f([x, x, x]))
    return { code, light: [answers.map(([r]) => r), answers.map(([, g]) => g), answers.map(([, , b]) => b)] }
  }
  const { size, domainMin, domainMax, table } = source
  const same = ([r, g, b]: Vec3) => r === g && r === b
  if (!same(domainMin) || !same(domainMax)) {
    throw new IsochipError(
      'encoding-unknown',
      `the domain is ${domainMin.join(' ')} to ${domainMax.join(' ')}, expected the same in all channels`,
    )
  }
  const code = Array.from({ length: size }, (_, i) => {
    const f = i / (size - 1)
    return domainMin[0] * (1 - f) + domainMax[0] * f
  })
  const column = (c: 0 | 1 | 2) => code.map((_, i) => table[3 * i + c]!)
  return { code, light: [column(0), column(1), column(2)] }
}

const channels = ['red', 'green', 'blue'] as const

/** A matrix, a 3D LUT or a saturation makes a channel of several: of that no curve can be taken. */
function checkApart(list: ProcessList, f: (code: Vec3) => Vec3): void {
  for (let i = 0; i <= 32; i++) {
    const x = i / 32
    const grey = f([x, x, x])
    for (const c of [0, 1, 2] as const) {
      // The other two somewhere else, each on a side of its own.
      const apart: [number, number, number] = [1 - x / 2, 1 - x / 2, 1 - x / 2]
      apart[((c + 1) % 3) as 0 | 1 | 2] = x / 2
      apart[c] = x
      const off = Math.abs(f(apart)[c] - grey[c])
      if (off <= 1e-6 * Math.max(1, Math.abs(grey[c]))) continue
      throw new IsochipError(
        'encoding-unknown',
        `this is no curve: ${channels[c]} depends on the other channels as well (nodes: ${list.nodes.map(({ type }) => type).join(', ')})`,
        { hint: 'a curve acts on each channel alone: take the matrix or 3D LUT out of the file' },
      )
    }
  }
}
