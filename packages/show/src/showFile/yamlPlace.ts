import { type Document, isAlias, isMap, isPair, isSeq, type LineCounter, type Node, type Pair } from 'yaml'

export type FaultPath = readonly (string | number)[]

/** A path as text: `cameras[1].shots[0]`. */
export function pathText(path: FaultPath): string {
  return path.reduce<string>(
    (text, step) => (typeof step === 'number' ? `${text}[${step}]` : text === '' ? step : `${text}.${step}`),
    '',
  )
}

/**
 * Line and column of the value at a path, or of its key; of the nearest parent that exists where there is no such
 * value.
 */
export function yamlPlace(
  doc: Document,
  lines: LineCounter,
  path: FaultPath,
  at: 'key' | 'value' = 'value',
): { line: number; column: number } {
  let node: Node | null = doc.contents as Node | null
  let offset = node?.range?.[0] ?? 0
  for (const [depth, step] of path.entries()) {
    const whole: Node | null | undefined = isAlias(node) ? node.resolve(doc) : node
    if (isMap(whole)) {
      const pair: Pair | undefined = whole.items.find(
        (item) => isPair(item) && String(keyOf(item)) === String(step),
      )
      if (pair === undefined) break
      const key = pair.key as Node | null
      node = pair.value as Node | null
      const wanted = at === 'key' && depth === path.length - 1 ? key : (node ?? key)
      offset = wanted?.range?.[0] ?? offset
    } else if (isSeq(whole)) {
      node = (whole.items[Number(step)] as Node | undefined) ?? null
      if (node === null) break
      offset = node.range?.[0] ?? offset
    } else break
  }
  const { line, col } = lines.linePos(offset)
  return { line: Math.max(line, 1), column: Math.max(col, 1) }
}

function keyOf(pair: Pair): unknown {
  const key = pair.key as { value?: unknown } | string
  return typeof key === 'object' && key !== null ? key.value : key
}
