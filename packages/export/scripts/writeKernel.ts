import { writeFileSync } from 'node:fs'
import { compileKernel, kernelModule } from './compileKernel.ts'

writeFileSync(
  new URL('../src/apply/tetrahedralWasm.ts', import.meta.url),
  kernelModule(await compileKernel()),
)
