import { createHash, randomBytes } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { hostname } from 'node:os'

/** Who writes: by these a file that is under way, or a lock, is known for that of a run that is at work or gone. */
export interface RunMark {
  readonly host: string
  readonly pid: number
  /** Tells this process from an earlier one of the same number: in a container they often have the same. */
  readonly run: string
}

const short = (text: string) => createHash('sha256').update(text).digest('hex').slice(0, 8)

/** Short, and without a character that a file name cannot have. */
export const hostMark = short

/**
 * What tells a process from others that have had its number: when it began, in ticks since the kernel was started (field
 * 22 of Linux's /proc/PID/stat; the name in field 2 may hold spaces and brackets). All its threads have the same.
 * `undefined` where there is no such process, or the system does not tell.
 */
export function runOf(pid: number): string | undefined {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8')
    const ticks = stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19]
    return ticks === undefined ? undefined : short(ticks)
  } catch {
    return undefined
  }
}

export const thisRun: RunMark = {
  host: hostname(),
  pid: process.pid,
  run: runOf(process.pid) ?? randomBytes(4).toString('hex'),
}

/** Is the process of a run on this machine at work? */
export function isAlive({ pid, run }: Omit<RunMark, 'host'>): boolean {
  if (pid === process.pid) return run === thisRun.run
  try {
    process.kill(pid, 0)
  } catch (cause) {
    // Not permitted to signal it: it runs, under another user.
    if ((cause as NodeJS.ErrnoException).code !== 'EPERM') return false
  }
  // Another process may have the number by now.
  const now = runOf(pid)
  return now === undefined || now === run
}
