import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'
import { twoCharts } from '../support/twoCharts.ts'
import { runCommand } from './support/runCommand.ts'

test('of several charts each caution says which one it is about', async () => {
  const frame = join(scratchFolder('read-all'), 'frame.png')
  writeFileSync(frame, await twoCharts([18, 19]))
  const { status, out, err } = await runCommand('read', frame, '--chart', 'quay48', '--all', '--json')
  expect(status).toBe(0)
  const { warnings, others } = JSON.parse(out) as Document
  expect(others).toHaveLength(1)
  const foreign = (list: Document['warnings']) => list.filter(({ code }) => code === 'patch-foreign')
  // The second chart alone is covered.
  expect(foreign(warnings)).toEqual([])
  expect(foreign(others[0]!.warnings)).toHaveLength(2)
  const cautions = err.split('\n').filter((line) => line.startsWith('caution: '))
  expect(cautions).toHaveLength(warnings.length + others[0]!.warnings.length)
  const second = cautions.filter((line) =>
    /^caution: quay48, 2 of 2, with its first patch at 38\d, \d+[,:] /.test(line),
  )
  expect(second).toHaveLength(others[0]!.warnings.length)
  for (const { message } of others[0]!.warnings)
    expect(second.some((line) => line.endsWith(message.split('\n')[0]!))).toBe(true)
})

test('of one chart they are as they were', async () => {
  const frame = join(scratchFolder('read-one'), 'frame.png')
  writeFileSync(frame, await twoCharts())
  const { err } = await runCommand('read', frame, '--chart', 'quay48')
  expect(err).toContain('caution: the largest chart in the frame was read; there is another')
  expect(err).not.toContain('1 of 2')
})

interface Document {
  readonly warnings: readonly { readonly code: string; readonly message: string }[]
  readonly others: readonly Pick<Document, 'warnings'>[]
}
