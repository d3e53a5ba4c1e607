import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'

const folder = new URL('../kernel/', import.meta.url)
const compiler = new URL('../node_modules/assemblyscript/package.json', import.meta.url)

/** The WebAssembly of `kernel/tetrahedral.ts`, made by the compiler of AssemblyScript. */
export async function compileKernel(): Promise<Uint8Array> {
  // Loading it takes seconds, which the digest does without.
  const { main } = await import('assemblyscript/asc')
  let bytes: Uint8Array | undefined
  const { error, stderr } = await main(
    [
      ...['tetrahedral.ts', '--outFile', 'kernel.wasm', '-O3', '--converge', '--enable', 'simd'],
      ...['--runtime', 'stub', '--importMemory', '--noAssert'],
    ],
    {
      readFile: (name) => {
        try {
          return readFileSync(new URL(name, folder), 'utf8')
        } catch {
          return null
        }
      },
      writeFile: (_, contents) => {
        bytes = contents as Uint8Array
      },
      listFiles: () => [],
    },
  )
  if (error !== null || bytes === undefined)
    throw new Error(`the kernel does not compile: ${stderr.toString()}`)
  return bytes
}

/** Checksum of what the kernel is made of: its sources and the compiler. */
export function kernelDigest(): string {
  const hash = createHash('sha256').update(JSON.parse(readFileSync(compiler, 'utf8')).version)
  for (const name of readdirSync(folder).sort()) hash.update(name).update(readFileSync(new URL(name, folder)))
  return hash.digest('hex')
}

/** What stands in `src/apply/tetrahedralWasm.ts`. */
export function kernelModule(bytes: Uint8Array): string {
  return `/** WebAssembly of kernel/tetrahedral.ts in base64, made by \`npm run kernel\` of ${kernelDigest()}. */
export const tetrahedralWasm =
  '${Buffer.from(bytes).toString('base64')}'
`
}
