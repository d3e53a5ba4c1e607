import { readFileSync } from 'node:fs'

/** A plain comma-separated table with a header; numbers where a cell is one. */
export function readTable(url: URL): Record<string, number | string>[] {
  const [header, ...lines] = readFileSync(url, 'utf8').trim().split('\n')
  const names = header!.split(',')
  return lines.map((line) =>
    Object.fromEntries(
      line
        .split(',')
        .map((cell, i) => [
          names[i]!,
          cell.trim() !== '' && !Number.isNaN(Number(cell)) ? Number(cell) : cell,
        ]),
    ),
  )
}
