/**
 * Every constant of the chart finder shifted by 30 % either way, and what the check of `npm test` sees of it, as a table.
 * From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/finderConstants.ts [group] [every nth scene] > FILE`
 */
import { readFileSync } from 'node:fs'
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

// The limits tell most, and soonest; then the empty ones, then what is easy with one chart in turn.
const scenes = [
  ...finderScenes.filter(({ limit }) => limit),
  ...finderScenes.filter(({ limit, right }) => !limit && right !== 'found'),
  ...finderScenes.filter(({ limit, right }) => !limit && right === 'found'),
].filter(({ limit }, k) => limit || k % Number(stride) === 0)

/** The faults of the check, in brief; scenes are answered only until there is one. */
function seen(): string {
  const answered: Answered[] = []
  for (const scene of scenes) {
    answered.push({ scene, answer: answerTo(scene) })
    const faults = faultsOf(answered).filter((fault) => !fault.includes('in the mean'))
    if (faults.length > 0) return `seen: ${faults[0]!.split(':')[0]}`
  }
  const [mean] = faultsOf(answered)
  return mean === undefined ? 'uncritical' : `seen: ${mean}`
}

/** Whole numbers stay whole; shares stay shares. */
const shifted = (value: number, factor: number) => {
  const to = value * factor
  return Number.isInteger(value) ? Math.max(1, Math.round(to)) : value < 1 ? Math.min(0.99, to) : to
}

if (seen() !== 'uncritical') throw new Error(`as they are: ${seen()}`)
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
