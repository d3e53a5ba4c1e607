/**
 * Writes `src/prior/sensorPriorTable.ts` anew, from the root of the project:
 * `node --import tsx/esm -C @isochip/source packages/core/scripts/writeSensorPrior.ts`
 */
import { writeFileSync } from 'node:fs'
import { lightNames, sensorNames } from '@isochip/synthetic'
import { knots } from '../src/prior/knots.ts'
import { pooledSensors } from './pooledSensors.ts'

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
