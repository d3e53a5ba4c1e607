import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import {
  builtinChart,
  defaultClippedShare,
  type Encoding,
  type FitOptions,
  IsochipError,
  matchCamera,
  measureTransfer,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  targetFromReference,
} from '@isochip/core'
import { parseReadings } from '@isochip/frames'
import { usual } from '../../packages/core/src/curve/fitCorrection.ts'

/**
 * `curve: corrected` with `model: auto` on readings of photographs (CSV, chart24, taken as sRGB, towards the published values),
 * each by sizes that were chosen on the others alone: the ratio of patches left out, everything fitted anew, to the matrix by
 * the declared curve. Beside it what is to be had by asking for it: the curve measured on the greys, uneven light divided out.
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
/** Mean ΔE00 of all patches, each under a match that gave it weight 0 and by the curve of the others. */
function leftOut(
  readings: Readings,
  encodingOf: (others: Readings) => Encoding,
  options: FitOptions,
): number {
  const left = readings.patches.flatMap(({ patch, clipped = 0 }) => {
    if (clipped > defaultClippedShare) return []
    const others = { patches: readings.patches.filter((one) => one.patch !== patch) }
    const encoding = encodingOf(others)
    const match = matchCamera(
      { ...input, encoding, readings },
      { ...options, weights: { patches: { [patch]: 0 } } },
    )
    const one = match.patches.find((other) => other.patch === patch)
    return one?.excluded === 'weight 0 was asked for' ? [one.dE00.after] : []
  })
  return mean(left)
}

function measuredOn(readings: Readings): Encoding {
  const { primaries } = input.encoding
  const { table } = measureTransfer({ chart, working, target: input.target, readings, primaries })
  return resolveEncoding({ transfer: { table }, primaries: 'bt709' })
}

console.log(
  '| photograph | sizes chosen on the others | as stated | each patch left out by hand | measured, by hand |',
)
console.log('| --- | --- | --- | --- | --- |')
const held = photographs.map(({ name, readings, declared }, i) => {
  const onOthers = all.map((_, s) => mean(stated.flatMap((row, j) => (j === i ? [] : [row[s]!]))))
  const best = onOthers.indexOf(Math.min(...onOthers))
  const sizes = all[best]!
  set(sizes)
  const ratio = leftOut(readings, () => input.encoding, corrected) / declared
  const measured = leftOut(readings, measuredOn, { evenness: 'divide' }) / declared
  console.log(
    `| ${name} | ±${sizes.common}, ±${sizes.single} | ${stated[i]![best]!.toFixed(3)} | ${ratio.toFixed(3)} | ${measured.toFixed(3)} |`,
  )
  return { stated: stated[i]![best]!, ratio, measured }
})
/** Mean and worst. */
const said = (values: readonly number[]) =>
  `${mean(values).toFixed(3)} (${Math.max(...values).toFixed(3)} at worst)`
console.log(
  `${held.length} photographs, in the mean: ${said(held.map((one) => one.stated))} as stated, ` +
    `${said(held.map(({ ratio }) => ratio))} by hand; measured ${said(held.map(({ measured }) => measured))}`,
)
