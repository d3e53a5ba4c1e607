import { expect, test } from 'vitest'
import { eager } from '../scripts/eager.ts'

// What a bundler makes compile at once still has to do what it says: ECMA-262, 12.10 (a line end after `return`), 9.4.6 (`this`).
const module = `
export function counted(from: number): { next(): number; double(x: number): number; twice: (x: number) => { x: number } } {
  let at = from
  const step = (by: number): number =>
    by + 1
  return {
    next() {
      at += step(0)
      return at
    },
    double: (x) =>
      [x].map((y) => y * 2)[0]!,
    twice: (x: number) => ({ x: 2 * x }),
  }
}
export const made = { size: 3, own() { return this.size } }
`

test('functions within functions do the same, in as many lines', async () => {
  const code = eager(module)
  expect(code.split('\n').length).toBe(module.split('\n').length)
  expect(code).toContain('const step = (function (by: number): number')
  const { transform } = await import('esbuild')
  const { code: plain } = await transform(code, { loader: 'ts' })
  const loaded = await import(`data:text/javascript,${encodeURIComponent(plain)}`)
  const { next, double, twice } = loaded.counted(4)
  expect([next(), next(), double(5), twice(7).x, loaded.made.own()]).toEqual([5, 6, 10, 14, 3])
})
