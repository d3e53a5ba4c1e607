// Encoder and decoder exist in every browser and in Node, but in no type library that both share.
interface TextGlobals {
  readonly TextEncoder: new () => { encode(text: string): Uint8Array }
  readonly TextDecoder: new (label?: string) => { decode(bytes: Uint8Array): string }
}
const globals = globalThis as unknown as TextGlobals

/** Text → UTF-8. */
export function utf8Bytes(text: string): Uint8Array {
  return new globals.TextEncoder().encode(text)
}

/** UTF-8 → text; bytes that are no UTF-8 become U+FFFD. */
export function utf8Text(bytes: Uint8Array): string {
  return new globals.TextDecoder('utf-8').decode(bytes)
}

/** Parts, one after the other. */
export function joinBytes(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0))
  let at = 0
  for (const part of parts) {
    whole.set(part, at)
    at += part.length
  }
  return whole
}
