import { readFileSync } from 'node:fs'
import { builtinChart, matchCamera, resolveEncoding, resolvePrimaries, targetFromCamera } from '@isochip/core'
import { parseReadings } from '@isochip/frames'

/*
 * Two sensors saw the same chart in the same light; sensor-a.csv and sensor-b.csv hold what they recorded, linear,
 * with the scatter of their pixels. Which matrix takes B to A, how well do the patches determine it, and what can no
 * matrix remove?
 *
 *     npm start            (or: node --import tsx/esm researcher.ts)
 */
const chart = builtinChart('chart24')
const encoding = resolveEncoding('linear')
const working = resolvePrimaries('bt709')
const readings = (file: string) =>
  parseReadings(readFileSync(new URL(file, import.meta.url), 'utf8'), file, chart)

const target = targetFromCamera(chart, readings('sensor-a.csv'), encoding, working)
const { model, diagnosis, summary, patches } = matchCamera(
  { chart, readings: readings('sensor-b.csv'), encoding, target, working },
  { model: 'matrix', objective: 'linear', evenness: 'off', robust: false },
)

const { intervals, noiseAmplification, rank, columns, condition, patchesUsed } = diagnosis
const number = (value: number) => value.toFixed(4).padStart(8)
const row = (values: readonly number[], spans: readonly { low: number; high: number }[] | undefined) =>
  values
    .map((value, i) => {
      const span = spans?.[i]
      return number(value) + (span === undefined ? '' : ` [${number(span.low)}, ${number(span.high)}]`)
    })
    .join('  ')

console.log(`${patchesUsed} patches, rank ${rank} of ${columns}, condition ${condition.toFixed(1)}`)
console.log('\ngain of B, with 95 % interval')
console.log(row(model.gain, intervals?.gain))
console.log('\nmatrix B → A (rows sum to 1), with 95 % intervals')
for (const c of [0, 1, 2] as const) console.log(row(model.matrix[c], intervals?.matrix[c]))
console.log(`\nnoise amplification R, G, B: ${noiseAmplification.channels.map(number).join('')}`)
console.log('\nΔE00        mean    95 %     max')
for (const stage of ['before', 'balanced', 'after'] as const) {
  const { mean, p95, max } = summary[stage]
  console.log(`${stage.padEnd(8)}${[mean, p95, max].map((value) => value.toFixed(2).padStart(8)).join('')}`)
}
console.log('\npatch,dE00_after,dE00_left_out')
for (const { patch, dE00, leaveOneOut } of patches)
  console.log(`${patch},${dE00.after.toFixed(3)},${leaveOneOut?.toFixed(3) ?? ''}`)
