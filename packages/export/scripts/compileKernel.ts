import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'

/** Sources in AssemblyScript, and the module that holds what comes of them. */
export interface Kernel {
  /** The file that is compiled, without its ending. */
  readonly name: string
  readonly folder: URL
  readonly module: URL
}

const packages = new URL('../../', import.meta.url)
const kernel = (name: string, owner: string, module: string): Kernel => ({
  name,
  folder: new URL(`${owner}/kernel/`, packages),
  module: new URL(`${owner}/src/${module}`, packages),
})

export const tetrahedral = kernel('tetrahedral', 'export', 'apply/tetrahedralWasm.ts')
export const pictures = kernel('pictures', 'frames', 'find/prepare/picturesWasm.ts')

const compiler = new URL('../node_modules/assemblyscript/package.json', import.meta.url)

/** WebAssembly, made by the compiler of AssemblyScript. */
export async function compileKernel({ name: main, folder }: Kernel): Promise<Uint8Array> {
  // Loading it takes seconds, which the digest does without.
  const { main: compile } = await import('assemblyscript/asc')
  let bytes: Uint8Array | undefined
  const { error, stderr } = await compile(
    [
      ...[`${main}.ts`, '--outFile', 'kernel.wasm', '-O3', '--converge', '--enable', 'simd'],
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
  if (error !== null || bytes === undefined) throw new Error(`${main} does not compile: ${stderr.toString()}`)
  return bytes
}

/** Checksum of what the kernel is made of: its sources and the compiler. */
export function kernelDigest({ folder }: Kernel): string {
  const hash = createHash('sha256').update(JSON.parse(readFileSync(compiler, 'utf8')).version)
  for (const name of readdirSync(folder).sort()) hash.update(name).update(readFileSync(new URL(name, folder)))
  return hash.digest('hex')
}

/** What stands in the module. */
export function kernelModule(kernel: Kernel, bytes: Uint8Array): string {
  return `/** WebAssembly of kernel/${kernel.name}.ts in base64, made by \`npm run kernel\` of ${kernelDigest(kernel)}. */
export const ${kernel.name}Wasm =
  '${Buffer.from(bytes).toString('base64')}'
`
}
