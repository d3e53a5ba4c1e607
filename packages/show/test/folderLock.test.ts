import { spawn, spawnSync } from 'node:child_process'
import { mkdirSync, readdirSync, readFileSync, utimesSync, writeFileSync } from 'node:fs'
import { hostname } from 'node:os'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { FolderLock, lockState } from '../src/files/folderLock.ts'
import { removeTemporaries } from '../src/files/temporaryFiles.ts'
import { runOf } from '../src/files/thisRun.ts'

const lock = (folder: string, holder: object) =>
  writeFileSync(join(folder, '.isochip-lock'), `${JSON.stringify({ run: '0', since: 'then', ...holder })}\n`)

describe('FolderLock', () => {
  test('one at a time; whoever comes second hears who holds it', async () => {
    const folder = scratchFolder('lock')
    const first = await FolderLock.take(folder)
    expect(first.takenOver).toBe(false)
    await expect(FolderLock.take(folder)).rejects.toMatchObject({
      code: 'output-busy',
      message: expect.stringContaining(`process ${process.pid} on ${hostname()}, since 2`),
    })
    expect(await lockState(folder)).toBe('held')
    await first.release()
    expect(await lockState(folder)).toBeUndefined()
    await (await FolderLock.take(folder)).release()
    expect(readdirSync(folder)).toEqual([])
  })

  test('what a run leaves that is killed while it takes it is cleared away by the next', async () => {
    const folder = scratchFolder('lock')
    const seen = new Set<string>()
    let taken = false
    const lock = FolderLock.take(folder).finally(() => {
      taken = true
    })
    while (!taken) {
      for (const name of readdirSync(folder)) seen.add(name)
      await new Promise(setImmediate)
    }
    await (await lock).release()
    seen.delete('.isochip-lock')
    expect(seen.size).toBeGreaterThan(0)
    // The same of a process that is no more.
    const gone = spawnSync(process.execPath, ['-e', '']).pid
    for (const name of seen) writeFileSync(join(folder, name.replace(`-${process.pid}-`, `-${gone}-`)), '')
    await removeTemporaries(folder)
    expect(readdirSync(folder)).toEqual([])
  })

  test('many at once: exactly one gets it', async () => {
    const folder = scratchFolder('lock')
    const tries = await Promise.allSettled(Array.from({ length: 20 }, () => FolderLock.take(folder)))
    expect(tries.filter(({ status }) => status === 'fulfilled')).toHaveLength(1)
    for (const one of tries) if (one.status === 'fulfilled') await one.value.release()
    expect(readdirSync(folder)).toEqual([])
  })

  test('that of a process that is no more is taken over, once', async () => {
    const folder = scratchFolder('lock')
    lock(folder, { host: hostname(), pid: spawnSync(process.execPath, ['-e', '']).pid })
    expect(await lockState(folder)).toBe('left')
    const tries = await Promise.allSettled(Array.from({ length: 20 }, () => FolderLock.take(folder)))
    const taken = tries.flatMap((one) => (one.status === 'fulfilled' ? [one.value] : []))
    expect(taken).toMatchObject([{ takenOver: true }])
    await taken[0]!.release()
    expect(readdirSync(folder)).toEqual([])
  })

  test('a process that has the number of the one that is no more does not hold it', async () => {
    const folder = scratchFolder('lock')
    lock(folder, { host: hostname(), pid: process.pid })
    expect(await lockState(folder)).toBe('left')
    const other = spawn(process.execPath, ['-e', 'setTimeout(() => 0, 60000)'])
    try {
      lock(folder, { host: hostname(), pid: other.pid, run: runOf(other.pid!) ?? '0' })
      expect(await lockState(folder)).toBe('held')
      if (process.platform !== 'linux') return
      // It began at another time.
      lock(folder, { host: hostname(), pid: other.pid, run: '00000000' })
      expect(await lockState(folder)).toBe('left')
    } finally {
      other.kill('SIGKILL')
    }
  })

  test('on another machine it counts as long as it is touched', async () => {
    const folder = scratchFolder('lock')
    lock(folder, { host: 'elsewhere', pid: 1 })
    await expect(FolderLock.take(folder)).rejects.toMatchObject({
      code: 'output-busy',
      message: expect.stringContaining('process 1 on elsewhere, since then'),
    })
    const old = new Date(Date.now() - 11 * 60_000)
    utimesSync(join(folder, '.isochip-lock'), old, old)
    const taken = await FolderLock.take(folder)
    expect(taken.takenOver).toBe(true)
    await taken.release()
  })

  test('cut short or of nobody, it is taken over', async () => {
    const folder = scratchFolder('lock')
    writeFileSync(join(folder, '.isochip-lock'), '{"host": "a')
    const taken = await FolderLock.take(folder)
    expect(readFileSync(join(folder, '.isochip-lock'), 'utf8')).toContain(`"pid":${process.pid}`)
    await taken.release()
  })

  test('what another has taken over is not taken away by whoever lost it', async () => {
    const folder = scratchFolder('lock')
    const lost = await FolderLock.take(folder)
    lock(folder, { host: 'elsewhere', pid: 1 })
    expect(await lost.isHeld()).toBe(false)
    await lost.release()
    expect(readdirSync(folder)).toEqual(['.isochip-lock'])
  })

  test('a folder that does not exist has none', async () => {
    const folder = join(scratchFolder('lock'), 'none')
    expect(await lockState(folder)).toBeUndefined()
    await expect(FolderLock.take(folder)).rejects.toMatchObject({ code: 'ENOENT' })
    mkdirSync(folder)
    await (await FolderLock.take(folder)).release()
  })
})
