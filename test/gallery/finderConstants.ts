/**
 * Every constant of the chart finder shifted by 30 % either way, and what comes of it on the small scenes of
 * `finderScenes.ts`, as a table: how many are right, and where the check of `npm test` would see it, how.
 * From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/finderConstants.ts [group] [one scene in so many] > FILE`
 */
import { readFileSync } from 'node:fs'
import { seededRandom } from '@isochip/core'
import { constants } from '../../packages/frames/src/find/constants.ts'
import {
  type Answered,
  answerTo,
  faultsOf,
  finderScenes,
} from '../../packages/frames/test/support/finderScenes.ts'

const [only, stride = '1'] = process.argv.slice(2)
const source = readFileSync(new URL('../../packages/frames/src/find/constants.ts', import.meta.url), 'utf8')
const shift = 0.3

// The same ones at every run: each scene draws a number.
const random = seededRandom(1)
const scenes = finderScenes.filter(() => random() < 1 / Number(stride))

/** What comes of the scenes; in brief what the check says where it says anything. */
function seen(): string {
  const answered: Answered[] = scenes.map((scene) => ({ scene, answer: answerTo(scene) }))
  const right = answered.filter(({ answer }) => answer.said === 'right')
  const errors = right.flatMap(({ answer: { error } }) => (error === undefined ? [] : [error]))
  const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length
  const [fault] = faultsOf(answered)
  const count = `${right.length}, ${mean.toFixed(4)}`
  return fault === undefined ? count : `${count}; seen: ${fault.split(':')[0]}`
}

/** Whole numbers stay whole; shares stay shares. */
const shifted = (value: number, factor: number) => {
  const to = value * factor
  return Number.isInteger(value) ? Math.max(1, Math.round(to)) : value < 1 ? Math.min(0.99, to) : to
}

console.log(
  `${scenes.length} scenes; right, and corners off in the mean by pitches of patches. As they are: ${seen()}`,
)
for (const [group, list] of Object.entries(constants)) {
  if (only !== undefined && group !== only) continue
  console.log(`\n### ${group}\n\n| constant | value | less 30 % | more 30 % |\n| --- | --- | --- | --- |`)
  const own = list as unknown as Record<string, number | number[]>
  for (const [name, value] of Object.entries(own)) {
    const comment = new RegExp(`/\\*\\* ([^/]*?) \\*/\\n    ${name}:`).exec(
      source.slice(source.indexOf(`\n  ${group}: {`)),
    )
    if (comment === null) throw new Error(`${group}.${name} has no words`)
    const results = [1 - shift, 1 + shift].map((factor) => {
      own[name] = Array.isArray(value) ? value.map((one) => shifted(one, factor)) : shifted(value, factor)
      const result = seen()
      own[name] = value
      return result
    })
    console.log(`| \`${name}\` | ${value} | ${results.join(' | ')} |`)
  }
}
