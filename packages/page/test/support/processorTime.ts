import { readdirSync, readFileSync } from 'node:fs'

/**
 * Seconds of processor time of this process's children and theirs: what they would take of an idle processor, however busy the
 * machine is. Undefined where the system does not tell (it is Linux that does).
 */
export function processorTime(): number | undefined {
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
      children.set(parent, [...(children.get(parent) ?? []), { id: Number(name), seconds }])
    } catch {
      // It has ended meanwhile.
    }
  }
  const below = (id: number): number =>
    (children.get(id) ?? []).reduce((sum, one) => sum + one.seconds + below(one.id), 0)
  return below(process.pid)
}
