import type { LatticeLut } from '../lut/lut.ts'
import type { PixelKernel } from './tetrahedralSimd.ts'

/** The tetrahedral kernel for whole-number pixels in plain JavaScript. */
export function tetrahedralCodes(lut: LatticeLut, channels: 3 | 4, top: number): PixelKernel {
  const { size, domainMin, domainMax, tableRedFastest } = lut
  const table = Float64Array.from(tableRedFastest, (value) => value * top)
  const perInput = [0, 1, 2].map((c) => (size - 1) / (domainMax[c]! - domainMin[c]!)) as number[]
  const [scaleR, scaleG, scaleB] = perInput.map((x) => x / top) as [number, number, number]
  const [offR, offG, offB] = perInput.map((x, c) => -domainMin[c]! * x) as [number, number, number]
  const lastNode = size - 1
  const lastCell = size - 2
  const stepG = 3 * size
  const stepB = stepG * size
  const all = 3 + stepG + stepB
  return {
    run(source, from, target, to, count) {
      for (let p = 0; p < count; p++, from += channels, to += channels) {
        const pr = Math.min(Math.max(source[from]! * scaleR + offR, 0), lastNode)
        const pg = Math.min(Math.max(source[from + 1]! * scaleG + offG, 0), lastNode)
        const pb = Math.min(Math.max(source[from + 2]! * scaleB + offB, 0), lastNode)
        const ir = Math.min(pr | 0, lastCell)
        const ig = Math.min(pg | 0, lastCell)
        const ib = Math.min(pb | 0, lastCell)
        const fr = pr - ir
        const fg = pg - ig
        const fb = pb - ib
        const base = 3 * ir + stepG * ig + stepB * ib
        let first: number
        let second: number
        let most: number
        let middle: number
        let least: number
        if (fr >= fg) {
          if (fg >= fb) {
            ;[first, second, most, middle, least] = [3, 3 + stepG, fr, fg, fb]
          } else if (fr >= fb) {
            ;[first, second, most, middle, least] = [3, 3 + stepB, fr, fb, fg]
          } else {
            ;[first, second, most, middle, least] = [stepB, 3 + stepB, fb, fr, fg]
          }
        } else if (fb >= fg) {
          ;[first, second, most, middle, least] = [stepB, stepG + stepB, fb, fg, fr]
        } else if (fb >= fr) {
          ;[first, second, most, middle, least] = [stepG, stepG + stepB, fg, fb, fr]
        } else {
          ;[first, second, most, middle, least] = [stepG, 3 + stepG, fg, fr, fb]
        }
        const w0 = 1 - most
        const w1 = most - middle
        const w2 = middle - least
        for (let c = 0; c < 3; c++) {
          const i = base + c
          const value =
            w0 * table[i]! + w1 * table[i + first]! + w2 * table[i + second]! + least * table[i + all]!
          target[to + c] = value <= 0 ? 0 : value >= top ? top : value + 0.5
        }
        if (channels === 4) target[to + 3] = source[from + 3]!
      }
    },
  }
}
