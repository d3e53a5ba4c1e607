/** A word of a CGATS file and where it stands; lines and columns count from 1. */
export interface CgatsToken {
  readonly text: string
  readonly quoted: boolean
  readonly line: number
  readonly column: number
}

/**
 * The words of a CGATS text. Blanks, tabs and line ends separate them; quotation marks hold blanks, and doubled stand
 * for one; a # outside of them begins a remark. A quotation that is not closed ends with its line and is returned as
 * `open`.
 */
export function cgatsTokens(text: string): {
  readonly tokens: readonly CgatsToken[]
  readonly open?: CgatsToken
} {
  const tokens: CgatsToken[] = []
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/)
  for (const [index, content] of lines.entries()) {
    const word = /\s+|#.*$|"((?:[^"]|"")*)"|("[^"]*$)|([^\s"#]+)/gy
    for (let match = word.exec(content); match !== null; match = word.exec(content)) {
      const [, quoted, open, bare] = match
      const place = { line: index + 1, column: match.index + 1 }
      if (open !== undefined) return { tokens, open: { text: open, quoted: true, ...place } }
      if (quoted !== undefined) tokens.push({ text: quoted.replaceAll('""', '"'), quoted: true, ...place })
      else if (bare !== undefined) tokens.push({ text: bare, quoted: false, ...place })
    }
  }
  return { tokens }
}
