import { cpSync, existsSync, mkdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { hostname } from 'node:os'
import { join } from 'node:path'
import { matchShow } from '@isochip/show/node'
import { describe, expect, test } from 'vitest'
import { filesCheckFile } from '../../packages/show/src/files/filesCheckShape.ts'
import { filesBelow } from '../support/filesBelow.ts'
import { copiedFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'
import { fillSmallShow, replaced, smallShowText } from './support/smallShow.ts'

const bytes = (folder: string) =>
  new Map(filesBelow(folder).map((name) => [name, readFileSync(join(folder, name), 'latin1')]))

/** The same show matched with two lattices, into two folders. */
async function twoRuns() {
  const folder = await copiedFolder('two-runs', async (fresh) => {
    await fillSmallShow(fresh)
    for (const size of [9, 17]) {
      const show = join(fresh, `size${size}.yaml`)
      writeFileSync(
        show,
        `${replaced(smallShowText, 'Small show', `Size ${size}`)}output: { size: ${size} }\n`,
      )
      await matchShow(show, { out: join(fresh, `out${size}`), workers: 0 })
    }
  })
  const shows = [join(folder, 'size9.yaml'), join(folder, 'size17.yaml')] as const
  const outs = [join(folder, 'out9'), join(folder, 'out17')] as const
  return { folder, shows, outs }
}

describe('a folder with files of two runs', () => {
  test('is told of by verify --files, verify and bake, and made whole by the next match', async () => {
    const { folder, shows, outs } = await twoRuns()
    const out = join(folder, 'mixed')
    cpSync(outs[0], out, { recursive: true })
    const files = () => runCommand('verify', '--files', out)
    expect(await files()).toEqual({
      status: 0,
      out: `${out}: ${filesBelow(out).length - 1} files, all of one run, as it wrote them\n`,
      err: '',
    })
    // What a run that is killed halfway leaves: some files renamed, the list not.
    for (const name of ['default/cross.cube', 'default/cross.match.json'])
      cpSync(join(outs[1], name), join(out, name))
    expect(await files()).toMatchObject({
      status: 2,
      out: expect.stringMatching(
        /the files are not all of one run: default\/cross.cube, default\/cross.match.json not as that run wrote them\n/,
      ),
    })
    const document = JSON.parse((await runCommand('verify', '--files', out, '--json')).out)
    expect(filesCheckFile.parse(document)).toEqual(document)
    expect(document).toMatchObject({
      isochip: 'files/1',
      whole: false,
      changed: ['default/cross.cube', 'default/cross.match.json'],
      missing: [],
    })
    const verified = await runCommand('verify', shows[0], '--luts', out, '--strict')
    expect(verified.err).toMatch(/caution: camera cross, .*cross\.cube is not as the run wrote it/)
    expect(verified.status).toBe(3)
    const match = join(out, 'default', 'cross.match.json')
    expect((await runCommand('bake', match, '--size', '5')).err).toMatch(
      /cross\.match\.json is not as the run/,
    )
    expect((await runCommand('match', shows[1], '--out', out)).status).toBe(0)
    expect(bytes(out)).toEqual(bytes(outs[1]))
    expect((await files()).status).toBe(0)
  })

  test('a LUT that is baked again belongs to the files of the run', async () => {
    const { outs } = await twoRuns()
    const match = join(outs[0], 'default', 'cross.match.json')
    const baked = async (...more: string[]) =>
      expect((await runCommand('bake', match, ...more)).err).not.toContain('not as the run')
    await baked('--size', '5')
    await baked('--format', 'clf')
    const { status, out, err } = await runCommand('verify', '--files', outs[0])
    expect([status, err]).toEqual([0, ''])
    expect(out).toContain(`${filesBelow(outs[0]).length - 1} files`)
    expect(readFileSync(join(outs[0], 'checksums.sha256'), 'utf8')).toContain('  default/cross.clf\n')
  })

  test('no list, a list cut short, a file gone, a file left over', async () => {
    const { folder, outs } = await twoRuns()
    const [out] = outs
    const list = join(out, 'checksums.sha256')
    const text = readFileSync(list, 'utf8')
    const files = () => runCommand('verify', '--files', out)
    writeFileSync(list, text.slice(0, -1))
    expect(await files()).toMatchObject({
      status: 2,
      out: expect.stringContaining('no run has come to its end'),
    })
    rmSync(list)
    expect((await files()).status).toBe(2)
    writeFileSync(list, text)
    cpSync(join(out, 'default', 'cross.cube'), join(out, 'default', 'old.cube'))
    expect(await files()).toMatchObject({ status: 0, err: expect.stringContaining('default/old.cube') })
    rmSync(join(out, 'report.json'))
    expect(await files()).toMatchObject({ status: 2, out: expect.stringContaining('report.json missing') })
    expect((await runCommand('verify', '--files', join(folder, 'nowhere'))).err).toContain('no such folder')
  })
})

describe('one run at a time', () => {
  test('two shows into one folder at once: one is done, the other hears who is at work', async () => {
    const { folder, shows, outs } = await twoRuns()
    const out = join(folder, 'both')
    const runs = await Promise.allSettled(shows.map((show) => matchShow(show, { out, workers: 0 })))
    const lost = runs.flatMap((run) => (run.status === 'rejected' ? [run.reason] : []))
    expect(lost).toMatchObject([
      { code: 'output-busy', message: expect.stringContaining(`process ${process.pid} on ${hostname()}`) },
    ])
    expect(bytes(out)).toEqual(bytes(outs[runs.findIndex(({ status }) => status === 'fulfilled')]!))
  })

  test('a run that is refused or ended leaves no lock', async () => {
    const { folder, shows, outs } = await twoRuns()
    writeFileSync(join(outs[0], 'default', 'cross.cube'), 'mine')
    expect((await runCommand('match', shows[0], '--out', outs[0])).status).toBe(2)
    expect(existsSync(join(outs[0], '.isochip-lock'))).toBe(false)
    await expect(
      matchShow(shows[0], { out: join(folder, 'none'), workers: 0, signal: AbortSignal.abort() }),
    ).rejects.toMatchObject({ code: 'cancelled' })
    expect(existsSync(join(folder, 'none'))).toBe(false)
  })
})

test('a folder in the output that is a link elsewhere is refused, with --force too', async () => {
  const { folder, shows } = await twoRuns()
  const [out, elsewhere] = [join(folder, 'linked'), join(folder, 'elsewhere')]
  for (const made of [out, elsewhere]) mkdirSync(made)
  symlinkSync(elsewhere, join(out, 'default'), 'dir')
  for (const more of [[], ['--force']]) {
    const { status, err } = await runCommand('match', shows[0], '--out', out, ...more)
    expect(err).toContain(`${join(out, 'default')} is a link to another place`)
    expect(status).toBe(2)
  }
  expect(filesBelow(elsewhere)).toEqual([])
})
