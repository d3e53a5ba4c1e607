/**
 * The name of an ICC profile: its tag `desc`, of which ISO 15076-1 (10.15, multiLocalizedUnicodeType) and the versions
 * before it (textDescriptionType) have a form each. `undefined` where there is none that can be read.
 */
export function profileName(icc: Buffer): string | undefined {
  if (icc.length < 132) return undefined
  const count = Math.min(icc.readUInt32BE(128), 200)
  for (let entry = 132; entry + 12 <= icc.length && entry < 132 + 12 * count; entry += 12) {
    if (icc.toString('latin1', entry, entry + 4) !== 'desc') continue
    const from = icc.readUInt32BE(entry + 4)
    const tag = icc.subarray(from, from + icc.readUInt32BE(entry + 8))
    const name = tag.toString('latin1', 0, 4) === 'mluc' ? localized(tag) : plain(tag)
    return (
      name
        ?.replace(/\p{Cc}/gu, '')
        .trim()
        .slice(0, 80) || undefined
    )
  }
  return undefined
}

const plain = (tag: Buffer) =>
  tag.length < 12 ? undefined : tag.toString('latin1', 12, 12 + tag.readUInt32BE(8))

/** The first of the languages. */
function localized(tag: Buffer): string | undefined {
  if (tag.length < 28) return undefined
  const from = tag.readUInt32BE(24)
  const text = Buffer.from(tag.subarray(from, from + (tag.readUInt32BE(20) & ~1)))
  return text.length % 2 === 0 ? text.swap16().toString('utf16le') : undefined
}
