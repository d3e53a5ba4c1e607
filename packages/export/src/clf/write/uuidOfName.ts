import { utf8Bytes } from '../../lut/text.ts'

/**
 * A name as `urn:uuid:`, the same for the same name: version 8 of RFC 9562, of which the contents are free. Here they are
 * four FNV-1a hashes of 32 bits, each from a start of its own.
 */
export function uuidOfName(name: string): string {
  const bytes = utf8Bytes(name)
  const words = Uint32Array.from({ length: 4 }, (_, i) => {
    let hash = 0x811c9dc5 ^ Math.imul(i, 0x9e3779b9)
    for (const byte of bytes) hash = Math.imul(hash ^ byte, 0x01000193)
    // The last bytes reach all bits.
    hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b)
    hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35)
    return hash ^ (hash >>> 16)
  })
  words[1] = (words[1]! & 0xffff0fff) | 0x8000
  words[2] = (words[2]! & 0x3fffffff) | 0x80000000
  const digits = Array.from(words, (word) => word.toString(16).padStart(8, '0')).join('')
  return `urn:uuid:${digits.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5')}`
}
