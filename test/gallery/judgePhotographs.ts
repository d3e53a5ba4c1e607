import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import {
  builtinChart,
  IsochipError,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
} from '@isochip/core'
import { parseReadings } from '@isochip/frames'
import { usual } from '../../packages/core/src/curve/fitCorrection.ts'

/**
 * `curve: corrected` with `model: auto` on readings of photographs (CSV, chart24, taken as sRGB, towards the published values),
 * each by sizes that were chosen on the others alone: the ratio of patches left out, everything fitted anew, to the matrix by
 * the declared curve.
 *
 * `node --import tsx/esm -C @isochip/source test/gallery/judgePhotographs.ts FOLDER`
 */
const folder = process.argv[2]
if (folder === undefined) throw new Error('which folder has the readings?')
const chart = builtinChart('chart24')
const working = resolvePrimaries('bt709')
const input = {
  chart,
  working,
  encoding: resolveEncoding('srgb'),
  target: targetFromReference(chart, 'D65', working),
}
const mean = (values: readonly number[]) => values.reduce((sum, v) => sum + v, 0) / values.length

interface Sizes {
  readonly common: number
  readonly single: number
}
/** What is tried: terms common to the channels, those of one channel and of the light. */
const all: Sizes[] = [0.5, 1, 2].flatMap((common) => [0.1, 0.15, 0.3].map((single) => ({ common, single })))
function set({ common, single }: Sizes): void {
  Object.assign(usual, { common, channel: single, field: single })
}

const photographs = readdirSync(folder)
  .filter((name) => name.endsWith('.csv'))
  .flatMap((name) => {
    const readings = parseReadings(readFileSync(join(folder, name), 'utf8'), name, chart)
    try {
      const declared = matchCamera({ ...input, readings }).summary.leaveOneOut!.mean
      return [{ name, readings, declared }]
    } catch (error) {
      if (!(error instanceof IsochipError)) throw error
      console.log(`${name}: no matrix by the declared curve, left out (${error.message})`)
      return []
    }
  })

const corrected = { curve: 'corrected', model: 'auto' } as const
const stated = photographs.map(({ readings, declared }) =>
  all.map((sizes) => {
    set(sizes)
    return matchCamera({ ...input, readings }, corrected).summary.leaveOneOut!.mean / declared
  }),
)
console.log('| photograph | sizes chosen on the others | as stated | each patch left out by hand |')
console.log('| --- | --- | --- | --- |')
const held = photographs.map(({ name, readings, declared }, i) => {
  const onOthers = all.map((_, s) => mean(stated.flatMap((row, j) => (j === i ? [] : [row[s]!]))))
  const best = onOthers.indexOf(Math.min(...onOthers))
  const sizes = all[best]!
  set(sizes)
  const left = readings.patches.flatMap(({ patch, clipped = 0 }) => {
    if (clipped > 0.01) return []
    const match = matchCamera({ ...input, readings }, { ...corrected, weights: { patches: { [patch]: 0 } } })
    const one = match.patches.find((other) => other.patch === patch)
    return one?.excluded === 'weight 0 was asked for' ? [one.dE00.after] : []
  })
  const ratio = mean(left) / declared
  console.log(
    `| ${name} | ±${sizes.common}, ±${sizes.single} | ${stated[i]![best]!.toFixed(3)} | ${ratio.toFixed(3)} |`,
  )
  return { stated: stated[i]![best]!, ratio }
})
console.log(
  `${held.length} photographs: ${mean(held.map((one) => one.stated)).toFixed(3)} in the mean and ${Math.max(...held.map((one) => one.stated)).toFixed(3)} at worst as stated, ${mean(held.map(({ ratio }) => ratio)).toFixed(3)} and ${Math.max(...held.map(({ ratio }) => ratio)).toFixed(3)} by hand`,
)
