import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { kernelDigest, pictures, tetrahedral } from '../scripts/compileKernel.ts'

it.each([tetrahedral, pictures])(
  'the kernel that is built in was made of the sources in kernel/, by this compiler: npm run kernel ($name)',
  (kernel) => {
    expect(readFileSync(kernel.module, 'utf8')).toContain(kernelDigest(kernel))
  },
)
