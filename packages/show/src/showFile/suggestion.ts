/**
 * The candidate that a misspelt name most likely stands for, or `undefined` where none is near: at most two edits
 * (insert, delete, replace, swap neighbours), and fewer than half of the letters.
 */
function closest(name: string, candidates: readonly string[]): string | undefined {
  let best: string | undefined
  let least = Math.min(2, (name.length - 1) / 2) + Number.EPSILON
  for (const candidate of candidates) {
    const distance = edits(name.toLowerCase(), candidate.toLowerCase())
    if (distance > least || (distance === least && best !== undefined)) continue
    best = candidate
    least = distance
  }
  return best
}

/** Restricted Damerau–Levenshtein distance. */
function edits(a: string, b: string): number {
  let beforeLast: number[] = []
  let last = Array.from({ length: b.length + 1 }, (_, j) => j)
  for (let i = 1; i <= a.length; i++) {
    const row = [i]
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1]
      let cost = Math.min(last[j]! + 1, row[j - 1]! + 1, last[j - 1]! + (same ? 0 : 1))
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        cost = Math.min(cost, beforeLast[j - 2]! + 1)
      row.push(cost)
    }
    beforeLast = last
    last = row
  }
  return last[b.length]!
}

/** “did you mean …?” where a candidate is near, else the candidates themselves. */
export function suggestion(name: string, candidates: readonly string[], noun: string): string {
  // The trade says Rec. 709 for what the standard calls BT.709.
  const near = closest(name, candidates) ?? closest(name.replace(/^rec[. _-]*(?=\d)/i, 'bt'), candidates)
  return near === undefined ? `${noun}: ${candidates.join(', ')}` : `did you mean ${near}?`
}
