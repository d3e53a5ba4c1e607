import type { OpenPage } from '../../../report/test/support/openPage.ts'
import { processorTime } from './processorTime.ts'

/**
 * A fixed piece of work of the kind that reading and matching is: a frame walked through, and small systems of equations
 * solved. On a busy machine both take more processor time, since they share caches and cores with others.
 */
export const yardstickScript = `
const frame = Uint8Array.from({ length: 3 * 1920 * 1080 }, (_, i) => (i * 2654435761) >>> 24)
const reduced = new Float32Array(frame.length / 4)
let sum = 0
for (let round = 0; round < 3; round++) {
  for (let i = 0; i < reduced.length; i++) reduced[i] = frame[4 * i] + frame[4 * i + 1] + frame[4 * i + 2] + frame[4 * i + 3]
  for (let i = 1; i < reduced.length; i++) sum += Math.abs(reduced[i] - reduced[i - 1])
  for (let system = 0; system < 1000; system++) {
    const n = 12
    const a = Array.from({ length: n }, (_, i) => Float64Array.from({ length: n }, (_, j) => (i === j ? n : Math.sqrt(1 / (1 + i + j + system)))))
    for (let k = 0; k < n; k++) {
      a[k][k] = Math.sqrt(a[k][k])
      for (let i = k + 1; i < n; i++) a[i][k] /= a[k][k]
      for (let j = k + 1; j < n; j++) for (let i = j; i < n; i++) a[i][j] -= a[i][k] * a[j][k]
    }
    sum += a[n - 1][n - 1]
  }
}
postMessage(sum)
`

/**
 * Seconds of processor time that the browser takes for it, in two workers at once. Undefined where the system does not tell.
 *
 * @param page served from where `yardstick.js` is the script: its security policy lets workers come from nowhere else
 */
export async function yardstick(page: OpenPage['page'], mark: string): Promise<number | undefined> {
  const before = processorTime(mark)
  await page.evaluate(`Promise.all([0, 1].map(() => new Promise((resolve, reject) => {
    const worker = new Worker('./yardstick.js')
    worker.onmessage = () => { worker.terminate(); resolve() }
    worker.onerror = reject
  })))`)
  return before === undefined ? undefined : processorTime(mark)! - before
}
