import { describe, expect, it } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { constants } from '../src/find/constants.ts'
import { answerTo, everyScene, faultsOf, finderScenes } from './support/finderScenes.ts'

/*
 * What the finder's constants are held to; `test/gallery/finderConstants.ts` runs all of the scenes, shifts each
 * constant and prints what is seen of it.
 */
describe('the finder on small scenes', () => {
  it('says what is right, and near its limits misses few', () => {
    const answered = (wholeTask ? finderScenes : everyScene).map((scene) => ({
      scene,
      answer: answerTo(scene),
    }))
    expect(answered.length).toBeGreaterThan(40)
    expect(faultsOf(answered)).toEqual([])
  })

  it('sees a constant that is off', () => {
    const sure = constants.sure as { value: number }
    const before = sure.value
    sure.value = 0.995
    try {
      // Scenes that are to be found: of those at the limit more have to be missed.
      const plain = everyScene.filter(({ limit, right }) => !limit && right === 'found').slice(0, 2)
      expect(faultsOf(plain.map((scene) => ({ scene, answer: answerTo(scene) })))).toHaveLength(2)
    } finally {
      sure.value = before
    }
  })
})
