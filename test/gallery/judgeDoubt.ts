import { curveDoubts } from '../support/curveDoubts.ts'
import { curveFamilies } from '../support/curveTasks.ts'

/**
 * How often the encoding is called doubtful where it is right, and where it is not and that does harm.
 *
 * `node --import tsx/esm -C @isochip/source test/gallery/judgeDoubt.ts RIGHT WRONG_A_FAMILY [SEED]`
 */
const [right = 200, wrong = 20, seed = 40_000] = process.argv.slice(2).map(Number)

console.log(
  '| curve | tasks | refused | spoilt | named | spoilt, within tolerance, not named | named, not spoilt |',
)
console.log('| --- | --- | --- | --- | --- | --- | --- |')
for (const family of curveFamilies) {
  const { tasks, refused, spoilt, spoiltAndNamed, silent, named, about } = curveDoubts(
    family,
    family === 'right' ? right : wrong,
    seed,
  )
  console.log(`| ${family} | ${tasks} | ${refused} | ${spoilt} | ${spoiltAndNamed} | ${silent} | ${named} |`)
  if (family === 'right') for (const one of about) console.log(`false alarm: ${one}`)
}
