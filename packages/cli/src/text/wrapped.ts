/** A text on lines of at most 80 columns, those after the first set in. */
export function wrapped(text: string): string[] {
  const lines: string[] = []
  for (const word of text.split(' ')) {
    const last = lines.at(-1)
    if (last === undefined) lines.push(word)
    else if (last.length + 1 + word.length <= 80) lines[lines.length - 1] = `${last} ${word}`
    else lines.push(`  ${word}`)
  }
  return lines
}
