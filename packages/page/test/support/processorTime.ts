import { readdirSync, readFileSync } from 'node:fs'

/**
 * Seconds of processor time of the processes that have `mark` in their command line, and of their children: what they would
 * take of an idle processor, however busy the machine is, and whatever other tests have started. Undefined where the system does
 * not tell (it is Linux that does).
 */
export function processorTime(mark: string): number | undefined {
  const marked = new Set<number>()
  const parents = new Map<number, number>()
  const children = new Map<number, { readonly id: number; readonly seconds: number }[]>()
  let entries: readonly string[]
  try {
    entries = readdirSync('/proc').filter((name) => /^\d+$/.test(name))
  } catch {
    return undefined
  }
  for (const name of entries) {
    try {
      const text = readFileSync(`/proc/${name}/stat`, 'utf8')
      // The name before it, in brackets, may hold anything. Hundredths of a second: proc(5), sysconf(_SC_CLK_TCK).
      const fields = text.slice(text.lastIndexOf(')') + 2).split(' ')
      const parent = Number(fields[1])
      const seconds = (Number(fields[11]) + Number(fields[12])) / 100
      parents.set(Number(name), parent)
      if (readFileSync(`/proc/${name}/cmdline`, 'utf8').includes(mark)) marked.add(Number(name))
      children.set(parent, [...(children.get(parent) ?? []), { id: Number(name), seconds }])
    } catch {
      // It has ended meanwhile.
    }
  }
  const below = (id: number): number =>
    (children.get(id) ?? []).reduce((sum, one) => sum + one.seconds + below(one.id), 0)
  const own = (id: number): number =>
    children.get(parents.get(id)!)?.find((one) => one.id === id)?.seconds ?? 0
  // A child with the mark is counted with its parent.
  return [...marked]
    .filter((id) => !marked.has(parents.get(id)!))
    .reduce((sum, id) => sum + own(id) + below(id), 0)
}
