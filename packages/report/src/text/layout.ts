import { columns } from './columns.ts'

/** A name for a terminal: what could move the cursor or turn the writing round becomes a visible mark. */
export function printable(name: string): string {
  return name.replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu, '�')
}

/** Cut or filled to exactly `width` columns, counting wide characters as two. */
export function fit(text: string, width: number, side: 'left' | 'right' = 'left'): string {
  let cut = text
  if (columns(cut) > width) {
    const characters = Array.from(text)
    while (columns(`${characters.join('')}…`) > width) characters.pop()
    cut = `${characters.join('')}…`
  }
  const fill = ' '.repeat(width - columns(cut))
  return side === 'left' ? cut + fill : fill + cut
}

/** Broken at spaces into lines of at most `width` columns, each after `indent`; a longer word is cut. */
export function wrap(text: string, width: number, indent: string): string[] {
  const room = width - columns(indent)
  const lines: string[] = []
  let line = ''
  for (const word of text.split(' ')) {
    const next = line === '' ? word : `${line} ${word}`
    if (columns(next) <= room) line = next
    else {
      if (line !== '') lines.push(line)
      line = columns(word) <= room ? word : fit(word, room)
    }
  }
  return [...lines, line].map((text) => indent + text)
}
