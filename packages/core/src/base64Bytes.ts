const digits = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/'

/** Base64 (RFC 4648, section 4) → bytes, by the language alone: core runs where there is no `atob`. */
export function base64Bytes(text: string): Uint8Array<ArrayBuffer> {
  const body = text.replace(/=+$/, '')
  const bytes = new Uint8Array(Math.floor((body.length * 3) / 4))
  let bits = 0
  for (let i = 0, at = 0; i < body.length; i++) {
    bits = ((bits << 6) | digits.indexOf(body[i]!)) & 0xffffff
    // After the first digit of four there is no whole byte yet.
    if (i % 4 !== 0) bytes[at++] = bits >> (6 - 2 * (i % 4))
  }
  return bytes
}
