import { fileURLToPath } from 'node:url'
import { compareShow } from '@isochip/show/node'

/*
 * Four measured sensors (J. Jiang and others 2013) and the CIE 1931 observer, by the 24 patches of ISO 17321-1 in D65:
 * how far is each from being an observer, how far are they from each other, and what does the best matrix leave?
 *
 *     npm run sensors      (or: node --import tsx/esm sensors.ts)
 *
 * The same as tables: isochip compare sensors/show.yaml
 */
const show = fileURLToPath(new URL('sensors/show.yaml', import.meta.url))
const { setups, assumptions } = await compareShow(show)
const { maps, pairs, observer, metamerism } = setups[0]!

console.log(
  'sensor,metamerism_index,dE76_mean,angle_1,angle_2,angle_3,to_observer_dE00_mean,to_observer_dE00_max',
)
for (const { camera, toObserver, principalAngles } of observer) {
  const { index, meanDE76 } = metamerism[camera]!
  const { mean, max } = toObserver.remaining
  const angles = principalAngles.map((angle) => angle.toFixed(3))
  console.log(
    [camera, index.toFixed(2), meanDE76.toFixed(3), ...angles, mean.toFixed(3), max.toFixed(3)].join(','),
  )
}

console.log('\nfrom,to,condition,noise_r,noise_g,noise_b,dE00_mean,dE00_max,largest_angle')
for (const { from, to, condition, noiseAmplification, remaining } of maps) {
  const pair = pairs.find(({ a, b }) => [a, b].includes(from) && [a, b].includes(to))!
  const noise = noiseAmplification.map((value) => value.toFixed(3))
  const { mean, max } = remaining
  const angle = Math.max(...pair.principalAngles)
  console.log(
    [from, to, condition.toFixed(2), ...noise, mean.toFixed(3), max.toFixed(3), angle.toFixed(3)].join(','),
  )
}

console.log('\nThe index rests on:')
for (const assumption of assumptions) console.log(`- ${assumption}`)
