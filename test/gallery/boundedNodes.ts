/**
 * What bounded nodes save in a LUT box that stores integers, run by hand:
 * `node --import tsx/esm -C @isochip/source test/gallery/boundedNodes.ts`
 *
 * Nodes cut to 0…1 (and rounded to whole steps) beside bounded ones, through tetrahedral interpolation: largest and root mean
 * square difference from the match, cut to 0…1, in codes of 10 bits, and largest and mean ΔE00, over 20,000 inputs.
 */
import { resolveEncoding, resolvePrimaries, type TransferName } from '@isochip/core'
import {
  chooseLattice,
  compareTransforms,
  type EncodedMatch,
  type LatticeLut,
  lutTransform,
  matchTransform,
  outputLab,
  samplePoints,
} from '@isochip/export'

const matrix = [
  [1.2, -0.15, -0.05],
  [-0.08, 1.11, -0.03],
  [0.02, -0.22, 1.2],
] as const
const matchOf = (source: TransferName, output: TransferName): EncodedMatch => ({
  source: resolveEncoding(source),
  model: { kind: 'lift-gain-matrix', lift: [0, 0, 0], gain: [1, 1, 1], matrix },
  working: resolvePrimaries('bt709'),
  output: resolveEncoding(output),
})

const clip = (x: number) => Math.min(Math.max(x, 0), 1)
const points = [...samplePoints(20_000)]

function figures(lut: LatticeLut, match: EncodedMatch): string {
  const [apply, exact, lab] = [lutTransform(lut), matchTransform(match), outputLab(match.output)]
  const held = points.filter((code) => exact(code).every((x) => x >= 0 && x <= 1))
  const codes = (at: typeof points) => {
    let [worst, squares, over] = [0, 0, 0]
    for (const code of at) {
      const [is, should] = [apply(code), exact(code)]
      const apart = 1023 * Math.max(...is.map((x, c) => Math.abs(x - clip(should[c]!))))
      worst = Math.max(worst, apart)
      squares += apart * apart
      if (apart > 4) over++
    }
    return `worst ${worst.toFixed(1)} rms ${Math.sqrt(squares / at.length).toFixed(2)} >4 ${((100 * over) / at.length).toFixed(1)} %`
  }
  const { maxDE00, meanDE00 } = compareTransforms(apply, exact, held, lab)
  return `held (${((100 * held.length) / points.length).toFixed(0)} %): ${codes(held)}, ΔE00 max ${maxDE00.toFixed(2)} mean ${meanDE00.toFixed(4)}; all: ${codes(points)}`
}

for (const [source, output] of [
  ['acescct', 'bt709'],
  ['hlg', 'bt709'],
  ['bt709', 'bt709'],
] as const) {
  const match = matchOf(source, output)
  for (const size of [17, 33, 65]) {
    for (const bits of [undefined, 10, 12]) {
      const plain = chooseLattice(match, { size, samples: 100 }).lut as LatticeLut
      const steps = bits === undefined ? 0 : 2 ** bits - 1
      const store = (x: number) => (steps === 0 ? clip(x) : Math.round(clip(x) * steps) / steps)
      const cut = { ...plain, tableRedFastest: plain.tableRedFastest.map(store) }
      const start = process.cpuUsage()
      const { lut } = chooseLattice(match, {
        size,
        samples: 100,
        nodes: 'bounded',
        ...(bits === undefined ? {} : { nodeBits: bits }),
      })
      const took = process.cpuUsage(start).user / 1e6
      console.log(
        `${source} → ${output}, ${size}, ${bits ?? 'no'} bits (${took.toFixed(1)} s of processor time)`,
      )
      console.log(`  cut      ${figures(cut, match)}`)
      console.log(`  bounded  ${figures(lut as LatticeLut, match)}`)
    }
  }
}
