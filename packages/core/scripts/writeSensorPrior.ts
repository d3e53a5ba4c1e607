/**
 * Writes `src/prior/sensorPriorTable.ts` and `src/prior/observerTable.ts` anew, from the root of the project:
 * `node --import tsx/esm -C @isochip/source packages/core/scripts/writeSensorPrior.ts`
 */
import { writeFileSync } from 'node:fs'
import { lightNames, lightPower, sensorNames, xyzWeights } from '@isochip/synthetic'
import { knots } from '../src/prior/knots.ts'
import { onKnots, pooledSensors } from './pooledSensors.ts'

const pooled = pooledSensors(sensorNames, lightNames)
const upper: number[] = []
for (let i = 0; i < knots.count; i++)
  for (let j = i; j < knots.count; j++) upper.push(pooled[i * knots.count + j]!)
const text = Buffer.from(Float32Array.from(upper).buffer).toString('base64')
const lines = text.match(/.{1,100}/g)!.map((line) => `  '${line}'`)
writeFileSync(
  new URL('../src/prior/sensorPriorTable.ts', import.meta.url),
  `/**
 * Upper triangle, row by row, of the second moment in \`sensorPrior\`, as little-endian 32-bit floats in base64. Written by
 * \`scripts/writeSensorPrior.ts\` from the sensors of Jiang et al. 2013, the 2° observer of CIE 15, and lights of CIE 15.
 */
export const sensorPriorTable =
${lines.join(' +\n')}
`,
)

const rows = xyzWeights(lightPower('C')).map((weights) =>
  [...onKnots(weights)].map((value) => Number(value.toPrecision(7))),
)
writeFileSync(
  new URL('../src/prior/observerTable.ts', import.meta.url),
  `/**
 * What each knot of a reflectance adds to X, Y and Z under illuminant C, the Y of a perfect diffuser being 1: 2° observer
 * and illuminant of CIE 15, sums by 5 nm. Written by \`scripts/writeSensorPrior.ts\`.
 */
export const observerUnderC: readonly (readonly number[])[] = ${JSON.stringify(rows)}
`,
)
