import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { kernelDigest } from '../scripts/compileKernel.ts'

it('the kernel that is built in was made of the sources in kernel/, by this compiler: npm run kernel', () => {
  const builtIn = readFileSync(new URL('../src/apply/tetrahedralWasm.ts', import.meta.url), 'utf8')
  expect(builtIn).toContain(kernelDigest())
})
