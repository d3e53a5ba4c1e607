import { describe, expect, test } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'
import { wholeTask } from '../support/wholeTask.ts'
import { inputOf } from './inputOf.ts'
import { resultFault } from './judge.ts'
import { keptCases } from './keptCases.ts'
import { runInput } from './runInput.ts'
import { targetNamed, targets } from './targets/targets.ts'

/*
 * The short form of `npm run fuzz`: inputs of which a part is wrong, made from a fixed seed. What is asked of each is
 * common sense: an error of isochip that can be read, or a result without NaN; within the limits of `limits.ts`.
 */
const within = scratchFolder('fuzz')
const seed = 19
/** Of a target that is drawn as often as the others; the command as a whole takes longer, and has its share of it. */
const inputs = wholeTask ? 12 : 6

describe('inputs of which a part is wrong end in an error that can be read, or in numbers', () => {
  test.each(targets)('$name', async (target) => {
    const faults: string[] = []
    for (let index = 0; index < Math.max(1, Math.round(inputs * (target.share ?? 1) ** 2)); index++) {
      const { fault } = await runInput(target, await inputOf(target, seed, index, within), within)
      if (fault !== undefined) faults.push(`input ${index}: ${fault}`)
    }
    expect(faults).toEqual([])
  })
})

describe('what was found once stays mended', () => {
  test.each(keptCases)('$target: $what', async ({ target, input }) => {
    expect((await runInput(targetNamed(target), input, within)).fault).toBeUndefined()
  })
})

test('a fault would be seen: a NaN anywhere, an error of another kind, a message without end', async () => {
  expect(resultFault({ a: [1, { b: Float64Array.of(1, Number.NaN) }] })).toBe(
    'what was read has a NaN: result.a.1.b[1]',
  )
  const failing = (error: Error) => ({
    name: 'x',
    kind: 'text' as const,
    samples: () => Promise.resolve([]),
    run: () => Promise.reject(error),
  })
  expect((await runInput(failing(new RangeError('stack')), new Uint8Array(0), within)).fault).toMatch(
    /no error of isochip/,
  )
})
