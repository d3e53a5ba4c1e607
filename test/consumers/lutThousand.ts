/**
 * All 1,000 numbered LUTs through ffmpeg and OpenColorIO: `node --import tsx/esm -C @isochip/source
 * test/consumers/lutThousand.ts [first] [count]`. The tests run a part of them; this is the whole.
 */
import { consumerTool } from '../support/consumerTool.ts'
import { type Agreement, agreeWithFfmpeg, agreeWithOcio } from './lutAgreement.ts'

const [first = 0, count = 1000] = process.argv.slice(2).map(Number)
const batch = 25
const total: Record<string, Agreement> = {}
const add = (name: string, one: Agreement) => {
  const sum = total[name] ?? { luts: 0, trilinear: 0, tetrahedral: 0 }
  total[name] = {
    luts: sum.luts + one.luts,
    trilinear: Math.max(sum.trilinear, one.trilinear),
    tetrahedral: Math.max(sum.tetrahedral, one.tetrahedral),
  }
}
const started = performance.now()
for (let at = first; at < first + count; at += batch) {
  const numbers = Array.from({ length: Math.min(batch, first + count - at) }, (_, i) => at + i)
  add('ffmpeg', agreeWithFfmpeg(consumerTool('ffmpeg'), numbers))
  add('OpenColorIO', agreeWithOcio(consumerTool('pyopencolorio'), numbers))
}
console.table(total)
console.log(`largest difference in 16-bit codes; ${((performance.now() - started) / 1000).toFixed(1)} s`)
