import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseMatchFile } from '@isochip/show'
import { expect, test } from 'vitest'
import { fitted } from '../../packages/show/test/fitted.ts'
import { filesBelow } from '../support/filesBelow.ts'
import { scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'

test('demo: a show to look at, matched, and again from its own show file', async () => {
  const out = join(scratchFolder('demo'), 'kitchen')
  const ran = await runCommand('demo', '--out', out)
  expect(ran.err).toBe('')
  expect([0, 3]).toContain(ran.status)
  expect(ran.out).toContain('Harbour Kitchen')
  for (const camera of ['wide', 'cross', 'crane']) expect(ran.out).toContain(`\n${camera}  `)
  const report = join(out, 'isochip-out', 'report.html')
  expect(ran.out).toContain(`Look at ${report}`)
  expect(readFileSync(report, 'utf8')).toContain('Harbour Kitchen')

  for (const setup of ['day', 'evening']) {
    for (const camera of ['cross', 'crane']) {
      const file = join(out, 'isochip-out', setup, `${camera}.match.json`)
      const { summary } = fitted(await parseMatchFile(readFileSync(file, 'utf8'), file))
      // A match that is worth its name takes most of the difference away; a gain alone does not on these cameras.
      expect(summary.after.mean, file).toBeLessThan(summary.before.mean / 4)
      expect(summary.after.mean, file).toBeLessThan(summary.balanced.mean)
    }
  }

  const again = await runCommand('match', join(out, 'show.yaml'), '--out', join(out, 'again'), '--no-cache')
  expect(again.status).toBe(ran.status)
  const written = filesBelow(join(out, 'isochip-out'))
  expect(filesBelow(join(out, 'again'))).toEqual(written)
  for (const name of written)
    expect(
      readFileSync(join(out, 'again', name)).equals(readFileSync(join(out, 'isochip-out', name))),
      name,
    ).toBe(true)

  // Who changed the show does not lose it to a second demo.
  const show = join(out, 'show.yaml')
  writeFileSync(show, `${readFileSync(show, 'utf8')}# mine\n`)
  const refused = await runCommand('demo', '--out', out)
  expect(refused.status).toBe(2)
  expect(refused.err).toContain(`${show} is not as the demo writes it`)
  expect(readFileSync(show, 'utf8')).toContain('# mine')
})
