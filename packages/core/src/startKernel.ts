import { base64Bytes } from './base64Bytes.ts'

// WebAssembly exists in every browser and in Node, but in no type library that both share; what of it is used here is
// described here, wherever this is compiled.
interface WebAssemblyGlobal {
  readonly Module: new (bytes: Uint8Array) => object
  readonly Memory: new (size: { initial: number }) => KernelMemory
  readonly Instance: new (module: object, imports: object) => { readonly exports: KernelFunctions }
}
const { WebAssembly }: { readonly WebAssembly?: WebAssemblyGlobal } = Object(globalThis)

/** A kernel's memory; after `grow` its former `buffer` is empty. */
export interface KernelMemory {
  readonly buffer: ArrayBuffer
  /** By so many pages more. */
  grow(pages: number): number
}

/** What a kernel offers, by name; some of it gives a number. */
export type KernelFunctions = Readonly<Record<string, (...numbers: number[]) => number | undefined>>

/** Bytes of a page of WebAssembly's memory. */
export const kernelPage = 65536

/**
 * Starts a kernel that is built in: WebAssembly that imports its memory as `env.memory`.
 *
 * @param base64 the module
 * @param bytes that its memory holds at least
 * @returns `undefined` where the engine has no WebAssembly, or not the instructions that the module needs, or a page's
 *   policy forbids it: then take the JavaScript that does the same
 */
export function startKernel(
  base64: string,
  bytes: number,
): { readonly run: KernelFunctions; readonly memory: KernelMemory } | undefined {
  if (WebAssembly === undefined) return undefined
  try {
    const memory = new WebAssembly.Memory({ initial: Math.ceil(bytes / kernelPage) })
    const module = new WebAssembly.Module(base64Bytes(base64))
    return { run: new WebAssembly.Instance(module, { env: { memory } }).exports, memory }
  } catch {
    return undefined
  }
}
