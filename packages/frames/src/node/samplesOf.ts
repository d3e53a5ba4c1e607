import type { Frame, FrameBits } from '../frame/frame.ts'

interface KindOfSamples {
  new (memory: ArrayBufferLike, from: number, length: number): Frame['data']
  readonly BYTES_PER_ELEMENT: number
}

/** Raw bytes as samples in the order of this machine's bytes: in the same memory where they lie so that it can be. */
export function samplesOf(raw: Buffer, bits: FrameBits): Frame['data'] {
  const Kind: KindOfSamples = bits === 8 ? Uint8Array : bits === 'float' ? Float32Array : Uint16Array
  const bytes = Kind.BYTES_PER_ELEMENT
  // A pooled buffer may begin at any byte; a typed array may not.
  const aligned = raw.byteOffset % bytes === 0 ? raw : Buffer.from(Uint8Array.from(raw).buffer)
  return new Kind(aligned.buffer, aligned.byteOffset, aligned.byteLength / bytes)
}
