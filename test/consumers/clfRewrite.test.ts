import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { processListTransform, readClf } from '@isochip/export'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { consumer } from '../support/consumer.ts'
import { clfCases, clfTexts, floatFrame } from './clfCases.ts'

const python = consumer('pyopencolorio')
const script = new URL('./clfRewrite.py', import.meta.url).pathname
const names = Object.keys(clfCases)

python.describe('what OpenColorIO writes is read here to the same numbers', () => {
  let folder: string
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'isochip-clf-'))
    const jobs = names.map((name, i) => {
      writeFileSync(join(folder, `${i}.clf`), clfTexts[name]!)
      return JSON.stringify({ lut: join(folder, `${i}.clf`), out: join(folder, `${i}.again.clf`) })
    })
    python.run([script], jobs.join('\n'))
  })
  afterAll(() => {
    rmSync(folder, { recursive: true })
  })
  it.each(names.map((name, i) => [name, i] as const))('%s', (name, i) => {
    const ours = processListTransform(readClf(clfTexts[name]!).list)
    const theirs = processListTransform(readClf(readFileSync(join(folder, `${i}.again.clf`))).list)
    const frame = floatFrame(200)
    let worst = 0
    for (let p = 0; p < frame.length; p += 3) {
      const input = [frame[p]!, frame[p + 1]!, frame[p + 2]!] as const
      const again = theirs(input)
      ours(input).forEach((x, c) => {
        worst = Math.max(worst, Math.abs(x - again[c]!) / Math.max(1, Math.abs(x)))
      })
    }
    // They hold tables in single precision and write them with seven digits.
    expect(worst).toBeLessThan(1e-5)
  })
})
