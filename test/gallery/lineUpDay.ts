import { mkdtempSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { lineUpDay } from '../support/lineUpDay.ts'

/**
 * A day of a line-up, five cameras, every third shot with something wrong. Usage, with the collector at hand:
 * node --expose-gc … lineUpDay.ts [SHOTS]
 */
const shots = Number(process.argv[2] ?? 2000)
const folder = mkdtempSync(join(tmpdir(), 'isochip-day-'))
const begun = Date.now()
try {
  const { rounds, said, wrong, heap } = await lineUpDay(folder, shots)
  console.log(
    `${shots} shots in ${((Date.now() - begun) / 1000).toFixed(0)} s; rounds`,
    Object.fromEntries(rounds),
  )
  for (const [mishap, words] of said) {
    const counted = new Map<string, number>()
    for (const word of words) counted.set(word, (counted.get(word) ?? 0) + 1)
    console.log(mishap, Object.fromEntries(counted))
  }
  const megabytes = (bytes: number | undefined) => (bytes === undefined ? '–' : (bytes / 2 ** 20).toFixed(1))
  console.log(
    `wrong ${wrong}; heap ${megabytes(heap[Math.floor(heap.length / 10)])} MiB after a tenth, ${megabytes(heap.at(-1))} at the end; lineup.json ${statSync(join(folder, 'lineup.json')).size} bytes`,
  )
} finally {
  rmSync(folder, { recursive: true, force: true })
}
