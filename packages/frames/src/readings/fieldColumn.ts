/** Column, from 1, at which a field of a CSV record begins. Commas between quotation marks do not separate. */
export function fieldColumn(raw: string, field: number): number {
  let quoted = false
  let passed = 0
  for (let at = 0; at < raw.length; at++) {
    if (passed === field) return at + 1
    if (raw[at] === '"') quoted = !quoted
    else if (raw[at] === ',' && !quoted) passed++
  }
  return raw.length + 1
}
