import { randomBytes } from 'node:crypto'
import { link, open, readFile, rename, rm, stat, utimes } from 'node:fs/promises'
import { join } from 'node:path'
import { setTimeout } from 'node:timers/promises'
import { IsochipError } from '@isochip/core'
import { temporaryPath } from './temporaryFiles.ts'
import { isAlive, type RunMark, thisRun } from './thisRun.ts'

const lockName = '.isochip-lock'
/** The holder touches its lock so often, in milliseconds; one on another machine that has not for so long is gone. */
const touchEvery = 20_000
const foreignFor = 600_000
/** While others take it over: so often, after so many milliseconds, it is asked for again. */
const mostAttempts = 20
const waitFor = 10

interface Holder extends RunMark {
  /** When the folder was taken, for whoever has to wait. */
  readonly since: string
  /** Tells this lock from another one of the same process. */
  readonly id: string
}

/**
 * One run at a time in a folder. The lock is a file in it that says who holds it: host, process, since when. It is
 * there whole or not at all. That of a process that is no more is taken over; on another machine nobody can ask, so
 * there a lock counts as long as it is touched.
 */
export class FolderLock {
  readonly #path: string
  readonly #id: string
  readonly #timer: NodeJS.Timeout
  /** Was there a lock of a run that never gave it back? */
  readonly takenOver: boolean

  private constructor(path: string, id: string, takenOver: boolean) {
    this.#path = path
    this.#id = id
    this.takenOver = takenOver
    this.#timer = setInterval(() => {
      const now = new Date()
      utimes(path, now, now).catch(() => undefined)
    }, touchEvery)
    this.#timer.unref()
  }

  /**
   * @param folder that exists
   * @throws IsochipError `output-busy` where another run holds it; whatever the file system says
   */
  static async take(folder: string): Promise<FolderLock> {
    const path = join(folder, lockName)
    const id = randomBytes(8).toString('hex')
    // Whoever is killed here leaves it; by its name the next run knows that.
    const mine = temporaryPath(path)
    const holder: Holder = { ...thisRun, since: new Date().toISOString(), id }
    await writeWhole(mine, `${JSON.stringify(holder)}\n`)
    try {
      for (let attempt = 0; attempt < mostAttempts; attempt++) {
        if (await linked(mine, path)) return new FolderLock(path, id, false)
        const text = await readFile(path, 'utf8').catch(() => undefined)
        if (text === undefined) continue
        const other = holderOf(text)
        if (await isHeld(path, mine, other)) throw busy(folder, other)
        if (await takenOver(path, mine, text)) return new FolderLock(path, id, true)
        // Somebody else is at it: who will be known in a moment.
        await setTimeout(waitFor)
      }
      throw busy(folder, undefined)
    } finally {
      await rm(mine, { force: true }).catch(() => undefined)
    }
  }

  /** Whether it is still ours: a machine that slept for long may have lost it. */
  async isHeld(): Promise<boolean> {
    const text = await readFile(this.#path, 'utf8').catch(() => undefined)
    return text !== undefined && holderOf(text)?.id === this.#id
  }

  /** Gives the folder free. Never throws. */
  async release(): Promise<void> {
    clearInterval(this.#timer)
    if (await this.isHeld()) await rm(this.#path, { force: true }).catch(() => undefined)
  }
}

/** Is a run that took this folder at work, or did it die in it? `undefined` where there is no lock. */
export async function lockState(folder: string): Promise<'held' | 'left' | undefined> {
  const path = join(folder, lockName)
  const text = await readFile(path, 'utf8').catch(() => undefined)
  if (text === undefined) return undefined
  return (await isHeld(path, undefined, holderOf(text))) ? 'held' : 'left'
}

function holderOf(text: string): Holder | undefined {
  try {
    const { host, pid, run, since, id } = JSON.parse(text) as Partial<Holder>
    if (typeof host !== 'string' || !Number.isInteger(pid) || typeof run !== 'string') return undefined
    return {
      host,
      pid: pid!,
      run,
      since: String(since),
      id: String(id),
    }
  } catch {
    return undefined
  }
}

/** @param fresh a file of now in the same folder: its time is by the same clock as that of the lock */
async function isHeld(path: string, fresh: string | undefined, holder: Holder | undefined): Promise<boolean> {
  // What is no lock of ours says nothing; nobody writes such a one.
  if (holder === undefined) return false
  if (holder.host === thisRun.host) return isAlive(holder)
  const touched = await stat(path).catch(() => undefined)
  const now = fresh === undefined ? undefined : await stat(fresh).catch(() => undefined)
  return touched !== undefined && (now?.mtimeMs ?? Date.now()) - touched.mtimeMs < foreignFor
}

/** Hard links are made whole or not at all; where a file system has none, a file that must not exist is. */
async function linked(from: string, to: string): Promise<boolean> {
  try {
    await link(from, to)
    return true
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException
    if (code === 'EEXIST') return false
    if (!['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EMLINK', 'EXDEV'].includes(code ?? '')) throw cause
  }
  const file = await open(to, 'wx').catch((cause: NodeJS.ErrnoException) => {
    if (cause.code === 'EEXIST') return undefined
    throw cause
  })
  if (file === undefined) return false
  try {
    await file.writeFile(await readFile(from))
  } finally {
    await file.close()
  }
  return true
}

/**
 * Puts our lock in the place of one whose run is gone, and which was read as this text. A guard lets only one do so at a
 * time, and the old lock stays until then, so that nobody gets in between.
 */
async function takenOver(path: string, mine: string, text: string): Promise<boolean> {
  const guard = `${path}.takeover`
  if (!(await linked(mine, guard))) {
    const other = await readFile(guard, 'utf8').catch(() => undefined)
    // Of a run that was ended while it took over.
    if (other !== undefined && !(await isHeld(guard, mine, holderOf(other))))
      await rm(guard, { force: true }).catch(() => undefined)
    return false
  }
  try {
    if ((await readFile(path, 'utf8').catch(() => undefined)) !== text) return false
    await rename(mine, path)
    return true
  } finally {
    await rm(guard, { force: true }).catch(() => undefined)
  }
}

async function writeWhole(path: string, text: string): Promise<void> {
  const file = await open(path, 'wx')
  try {
    await file.writeFile(text)
    await file.sync()
  } finally {
    await file.close()
  }
}

function busy(folder: string, holder: Holder | undefined): IsochipError {
  const who = holder === undefined ? '' : `: process ${holder.pid} on ${holder.host}, since ${holder.since}`
  return new IsochipError('output-busy', `another run is writing into ${folder}${who}`, {
    hint: 'wait until it has ended, or give another folder',
    place: { file: folder },
  })
}
