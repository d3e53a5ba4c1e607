import { readFileSync } from 'node:fs'

export interface Usage {
  /** Processor time of a process and of those that it started, s. */
  readonly seconds: number
  /** Their memory, MB. */
  readonly megabytes: number
}

/** What a process and those that it started have used, from `/proc`; `undefined` where there is none. */
export function usageOf(pid: number): Usage | undefined {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'latin1')
    // proc(5): after the name in brackets, field 3 is the first.
    const fields = stat
      .slice(stat.lastIndexOf(')') + 2)
      .split(' ')
      .map(Number)
    // 14 utime, 15 stime, 16 cutime, 17 cstime in ticks of 10 ms; 24 rss in pages of 4096 bytes.
    const own = {
      seconds: (fields[11]! + fields[12]! + fields[13]! + fields[14]!) / 100,
      megabytes: (fields[21]! * 4096) / 1e6,
    }
    const children = readFileSync(`/proc/${pid}/task/${pid}/children`, 'latin1')
      .trim()
      .split(' ')
      .filter(Boolean)
    return children.reduce<Usage>((sum, child) => {
      const used = usageOf(Number(child))
      return used === undefined
        ? sum
        : { seconds: sum.seconds + used.seconds, megabytes: sum.megabytes + used.megabytes }
    }, own)
  } catch {
    return undefined
  }
}
