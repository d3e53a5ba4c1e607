import { writeFileSync } from 'node:fs'
import { compileKernel, kernelModule, pictures, tetrahedral } from './compileKernel.ts'

for (const kernel of [tetrahedral, pictures])
  writeFileSync(kernel.module, kernelModule(kernel, await compileKernel(kernel)))
