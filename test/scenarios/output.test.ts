import { execFileSync } from 'node:child_process'
import { chmodSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { filesBelow } from '../support/filesBelow.ts'
import { scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'
import { replaced, smallShowText, writeSmallShow } from './support/smallShow.ts'

const isRoot = process.getuid?.() === 0

/** A tiny disk of its own, where this process may mount one. */
function tinyDisk(kilobytes: number): { path: string; unmount: () => void } | undefined {
  const path = scratchFolder('full')
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', `size=${kilobytes}k`, 'tmpfs', path], { stdio: 'ignore' })
  } catch {
    return undefined
  }
  return { path, unmount: () => execFileSync('umount', [path], { stdio: 'ignore' }) }
}

describe('the folder of the files', () => {
  test('that is full: one error, what was there stays, nothing half-written', async (context) => {
    const folder = await writeSmallShow()
    const disk = tinyDisk(700)
    if (disk === undefined) return context.skip('this process may not mount a disk of its own')
    try {
      mkdirSync(join(disk.path, 'out'))
      writeFileSync(join(disk.path, 'out', 'notes.txt'), 'mine')
      const { status, out, err } = await runCommand(
        'match',
        join(folder, 'show.yaml'),
        '--out',
        join(disk.path, 'out'),
      )
      expect(err).toMatch(/^error: cannot write .*: the disk is full\n {2}hint: make room/)
      expect(err.match(/error:/g)).toHaveLength(1)
      expect(out).toBe('')
      expect(status).toBe(2)
      expect(filesBelow(disk.path)).toEqual(['out/notes.txt'])
      expect(readFileSync(join(disk.path, 'out', 'notes.txt'), 'utf8')).toBe('mine')
    } finally {
      disk.unmount()
    }
  })

  test('that is full when the files are to be renewed: the old ones stay whole', async (context) => {
    const folder = await writeSmallShow()
    const disk = tinyDisk(6000)
    if (disk === undefined) return context.skip('this process may not mount a disk of its own')
    try {
      const out = join(disk.path, 'out')
      expect((await runCommand('match', join(folder, 'show.yaml'), '--out', out)).status).toBe(0)
      const before = new Map(
        filesBelow(out).map((name) => [name, readFileSync(join(out, name)).toString('base64')]),
      )
      const larger = join(folder, 'larger.yaml')
      writeFileSync(larger, `${smallShowText}output: { size: 65 }\n`)
      const { status, err } = await runCommand('match', larger, '--out', out)
      expect(err).toContain('the disk is full')
      expect(status).toBe(2)
      expect(filesBelow(out)).toEqual([...before.keys()])
      for (const [name, bytes] of before)
        expect(readFileSync(join(out, name)).toString('base64'), name).toBe(bytes)
    } finally {
      disk.unmount()
    }
  })

  test('that may not be written', async (context) => {
    if (isRoot) return context.skip('root may write everywhere')
    const folder = await writeSmallShow()
    const out = join(folder, 'out')
    mkdirSync(out)
    chmodSync(out, 0o500)
    const { status, err } = await runCommand('match', join(folder, 'show.yaml'), '--out', out)
    expect(err).toMatch(/^error: cannot write .*: writing is not permitted/)
    expect(status).toBe(2)
    expect(filesBelow(out)).toEqual([])
  })

  test('that is a file, or a place where no folder can be', async () => {
    const folder = await writeSmallShow()
    const before = filesBelow(folder)
    const file = await runCommand('match', join(folder, 'show.yaml'), '--out', join(folder, 'wide.png'))
    expect(file.err).toMatch(/^error: cannot write .*: a file stands where a folder is needed/)
    expect(file.status).toBe(2)
    const nowhere = await runCommand('match', join(folder, 'show.yaml'), '--out', '/proc/isochip')
    expect(nowhere.err).toMatch(/^error: cannot write /)
    expect(nowhere.status).toBe(2)
    expect(filesBelow(folder)).toEqual(before)
  })

  test('that has a file of somebody else in the way: nothing is written until forced', async () => {
    const folder = await writeSmallShow({ 'out/default/cross.cube': 'LUT_3D_SIZE 2\n' })
    const out = join(folder, 'out')
    const refused = await runCommand('match', join(folder, 'show.yaml'), '--out', out)
    expect(refused.err).toContain(
      `${join(out, 'default', 'cross.cube')} exists, and isochip did not write it`,
    )
    expect(refused.err).toContain('--force')
    expect(refused.status).toBe(2)
    expect(filesBelow(out)).toEqual(['default/cross.cube'])
    expect(readFileSync(join(out, 'default', 'cross.cube'), 'utf8')).toBe('LUT_3D_SIZE 2\n')
    const forced = await runCommand('match', join(folder, 'show.yaml'), '--out', out, '--force')
    expect(forced.status).toBe(0)
    expect(readFileSync(join(out, 'default', 'cross.cube'), 'utf8')).toContain('LUT_3D_SIZE 33')
  })

  test('our own files are replaced without being asked', async () => {
    const folder = await writeSmallShow()
    expect((await runCommand('match', join(folder, 'show.yaml'))).status).toBe(0)
    const changed = join(folder, 'show.yaml')
    writeFileSync(changed, `${replaced(smallShowText, 'Small show', 'Another title')}output: { size: 17 }\n`)
    expect((await runCommand('match', changed)).status).toBe(0)
    expect(readFileSync(join(folder, 'isochip-out', 'default', 'cross.cube'), 'utf8')).toContain(
      'LUT_3D_SIZE 17',
    )
  })
})
