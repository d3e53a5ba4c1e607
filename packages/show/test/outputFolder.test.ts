import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import {
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { hostname } from 'node:os'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { OutputFolder } from '../src/files/outputFolder.ts'
import { runOf } from '../src/files/thisRun.ts'

const scratch = () => scratchFolder('output')
const list = (folder: string) => readdirSync(folder, { recursive: true, encoding: 'utf8' }).sort()

describe('OutputFolder', () => {
  test('nothing has its name before commit, everything after', async () => {
    const out = join(scratch(), 'deep', 'out')
    const folder = await OutputFolder.open(out, ['day/wide.cube', 'report.json'])
    await folder.stage('day/wide.cube', '# Written by isochip 1\n')
    await folder.stage('report.json', '{\n  "isochip": "report/1"\n}\n')
    expect(list(out).filter((name) => !name.endsWith('.isochip-tmp'))).toEqual(['day'])
    expect(await folder.commit()).toEqual({
      files: ['day/wide.cube', 'report.json'],
      unchanged: [],
      left: [],
    })
    expect(list(out)).toEqual(['day', 'day/wide.cube', 'report.json'])
  })

  test('two files of one name are not begun with', async () => {
    for (const names of [
      ['day/wide.cube', 'day/wide.cube'],
      ['day/wide.cube', 'Day/Wide.cube'],
    ])
      await expect(OutputFolder.open(scratch(), names)).rejects.toThrow('one name')
  })

  test('discard leaves no trace, not even the folders', async () => {
    const base = scratch()
    const folder = await OutputFolder.open(join(base, 'a', 'b'), ['c/x.cube'])
    await folder.stage('c/x.cube', 'x')
    await folder.discard()
    expect(list(base)).toEqual([])
  })

  test('discard keeps what others put into its folders', async () => {
    const base = scratch()
    const folder = await OutputFolder.open(join(base, 'a'), ['x.cube'])
    await folder.stage('x.cube', 'x')
    writeFileSync(join(base, 'a', 'theirs.txt'), 'theirs')
    await folder.discard()
    expect(list(base)).toEqual(['a', 'a/theirs.txt'])
  })

  test('a file of somebody else is refused, and replaced when forced', async () => {
    const out = scratch()
    writeFileSync(join(out, 'wide.cube'), 'LUT_3D_SIZE 2\n# mentions isochip\n')
    await expect(OutputFolder.open(out, ['wide.cube'])).rejects.toMatchObject({
      code: 'output-exists',
      message: `${join(out, 'wide.cube')} exists, and isochip did not write it`,
    })
    const folder = await OutputFolder.open(out, ['wide.cube'], { force: true })
    await folder.stage('wide.cube', 'new')
    await folder.commit()
    expect(readFileSync(join(out, 'wide.cube'), 'utf8')).toBe('new')
  })

  test('a file that appears between open and commit is not overwritten', async () => {
    const out = scratch()
    const folder = await OutputFolder.open(out, ['wide.cube'])
    await folder.stage('wide.cube', 'new')
    writeFileSync(join(out, 'wide.cube'), 'theirs')
    await expect(folder.commit()).rejects.toMatchObject({ code: 'output-exists' })
    await folder.discard()
    expect(list(out)).toEqual(['wide.cube'])
    expect(readFileSync(join(out, 'wide.cube'), 'utf8')).toBe('theirs')
  })

  test.each(['day', 'day/wide.cube'])('a folder or a link called %s is not ours', async (name) => {
    const out = scratch()
    const mark = '# Written by isochip 1\n'
    mkdirSync(join(out, 'day'))
    writeFileSync(join(out, 'real'), 'theirs')
    if (name !== 'day') symlinkSync(join(out, 'real'), join(out, name))
    const planned = name === 'day' ? 'day' : 'day/wide.cube'
    await expect(OutputFolder.open(out, [planned])).rejects.toMatchObject({ code: 'output-exists' })
    expect(readFileSync(join(out, 'real'), 'utf8')).not.toBe(mark)
  })

  test('the same bytes are not written again', async () => {
    const out = scratch()
    const content = '# Written by isochip 1\n'
    writeFileSync(join(out, 'wide.cube'), content)
    const before = statSync(join(out, 'wide.cube')).mtimeMs
    const folder = await OutputFolder.open(out, ['wide.cube'])
    await folder.stage('wide.cube', content)
    expect(await folder.commit()).toEqual({ files: ['wide.cube'], unchanged: ['wide.cube'], left: [] })
    expect(statSync(join(out, 'wide.cube')).mtimeMs).toBe(before)
  })

  test('clears up after a run that is no more, and leaves one alone that runs', async () => {
    const out = scratch()
    const gone = spawnSync(process.execPath, ['-e', '']).pid
    const here = createHash('sha256').update(hostname()).digest('hex').slice(0, 8)
    const dead = `.wide.cube.${here}-${gone}-00000000-00000000.isochip-tmp`
    const sameNumber = `.wide.cube.${here}-${process.pid}-00000000-00000000.isochip-tmp`
    const run = runOf(process.ppid) ?? '00000000'
    const alive = `.wide.cube.${here}-${process.ppid}-${run}-00000000.isochip-tmp`
    // Of processes of another machine only the age tells: this one may be at work.
    const elsewhere = `.wide.cube.0000abcd-${gone}-00000000-00000000.isochip-tmp`
    const longAgo = `.wide.cube.0000abcd-${gone}-00000000-00000001.isochip-tmp`
    for (const name of [dead, sameNumber, alive, elsewhere, longAgo, '.wide.cube.tmp'])
      writeFileSync(join(out, name), 'half')
    const old = new Date(Date.now() - 2 * 24 * 3600 * 1000)
    utimesSync(join(out, longAgo), old, old)
    await OutputFolder.open(out, ['wide.cube'])
    expect(list(out)).toEqual(['.wide.cube.tmp', alive, elsewhere].sort())
  })

  test('says in one error why it cannot write', async () => {
    const out = scratch()
    writeFileSync(join(out, 'day'), 'a file')
    const folder = await OutputFolder.open(out, ['day/wide.cube'])
    await expect(folder.stage('day/wide.cube', 'x')).rejects.toMatchObject({
      code: 'output-unwritable',
      message: `cannot write ${join(out, 'day', 'wide.cube')}: a file stands where a folder is needed`,
    })
  })
})
