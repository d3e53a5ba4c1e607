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
        // Written out, since this is the loop over pixels: see `tetrahedral` for what is what.
        let first = 3
        let second = 3 + stepG
        let most = fr
        let middle = fg
        let least = fb
        if (fr >= fg) {
          if (fg < fb) {
            second = 3 + stepB
            if (fr >= fb) {
              middle = fb
              least = fg
            } else {
              first = stepB
              most = fb
              middle = fr
              least = fg
            }
          }
        } else if (fb >= fg) {
          first = stepB
          second = stepG + stepB
          most = fb
          least = fr
        } else if (fb >= fr) {
          first = stepG
          second = stepG + stepB
          most = fg
          middle = fb
          least = fr
        } else {
          first = stepG
          most = fg
          middle = fr
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
