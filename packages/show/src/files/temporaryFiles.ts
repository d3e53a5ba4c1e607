import { randomBytes } from 'node:crypto'
import { readdir, rm, stat } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'
import { hostMark, isAlive, thisRun } from './thisRun.ts'

/** `.NAME.HOST-PROCESS-RUN-RANDOM.isochip-tmp`: hidden, in the folder of the file that it becomes, and known for ours. */
const temporary = /^\..+\.([0-9a-f]{8})-(\d+)-([0-9a-f]{8})-[0-9a-f]{8}\.isochip-tmp$/

/** Nothing is known of the processes of another machine but that none works for so long, in milliseconds. */
const foreignFor = 24 * 3600 * 1000

/** A name for a file that is under way, beside its place. */
export function temporaryPath(path: string): string {
  const { host, pid, run } = thisRun
  const mark = `${hostMark(host)}-${pid}-${run}-${randomBytes(4).toString('hex')}`
  return join(dirname(path), `.${basename(path)}.${mark}.isochip-tmp`)
}

/** Takes away what runs that are no more left half-written in a folder. */
export async function removeTemporaries(folder: string): Promise<void> {
  const names = await readdir(folder).catch(() => [] as string[])
  for (const name of names) {
    const [, host, id, run] = temporary.exec(name) ?? []
    if (id === undefined || run === undefined) continue
    const atWork =
      host === hostMark(thisRun.host)
        ? isAlive({ pid: Number(id), run })
        : (await ageOf(join(folder, name))) < foreignFor
    if (atWork) continue
    // A folder that may not be changed is found out, and told, when something is to be written.
    await rm(join(folder, name), { force: true }).catch(() => undefined)
  }
}

async function ageOf(path: string): Promise<number> {
  const found = await stat(path).catch(() => undefined)
  return Date.now() - (found?.mtimeMs ?? 0)
}
