import { join } from 'node:path'
import { readingsToCsv } from '@isochip/frames'
import { describe, expect, test } from 'vitest'
import { filesBelow } from '../support/filesBelow.ts'
import { runCommand } from './support/runCommand.ts'
import { smallCameras, smallReadings, smallShowText, writeSmallShow } from './support/smallShow.ts'

/*
 * Faults of a readings file, in a show of two cameras, so that nothing is left to deliver: exit status 2, the line of
 * the file, and nothing written.
 */
const show = smallShowText
  .split('\n')
  .filter((line) => !line.includes('id: crane'))
  .join('\n')
const csv = readingsToCsv(smallReadings(smallCameras[1]!))
const lines = csv.trimEnd().split('\n')
const line = (number: number, change: (fields: string[]) => string[]) =>
  lines.map((text, i) => (i === number - 1 ? change(text.split(',')).join(',') : text)).join('\n')
const field = (at: number, value: string) => (fields: string[]) =>
  fields.map((old, i) => (i === at ? value : old))

async function match(content: string | Uint8Array) {
  const folder = await writeSmallShow({ 'show.yaml': show, 'cross.csv': content })
  const before = filesBelow(folder)
  const ran = await runCommand('match', join(folder, 'show.yaml'))
  return { ...ran, file: join(folder, 'cross.csv'), untouched: filesBelow(folder).join() === before.join() }
}

describe('a faulty readings file', () => {
  test.each([
    [
      'a missing patch',
      lines.filter((_, i) => i !== 5).join('\n'),
      ', camera cross, setup default: 1 of the 24 patches of chart chart24 have no line: "blue flower"',
    ],
    [
      'a patch twice',
      [...lines, lines[3]].join('\n'),
      ':26:1, camera cross, setup default: patch "blue sky" stands in line 4 already',
    ],
    [
      'an unknown patch',
      line(3, field(0, 'gold')),
      ':3:1, camera cross, setup default: chart chart24 has no patch "gold"',
    ],
    ['NaN', line(4, field(1, 'NaN')), ':4:10, camera cross, setup default: r: "NaN" is no finite number'],
    [
      'infinity',
      line(4, field(1, '-inf')),
      ':4:10, camera cross, setup default: r: "-inf" is no finite number',
    ],
    [
      'a number too large to be one',
      line(4, field(1, '1e999')),
      ':4:10, camera cross, setup default: r: 1e999 is beyond every range',
    ],
    [
      'a percent sign',
      line(4, field(1, '50%')),
      ':4:10, camera cross, setup default: r: "50%" is a percentage',
    ],
    [
      'a decimal comma in quotes',
      line(4, field(1, '"0,5"')),
      ':4:10, camera cross, setup default: r: "0,5" has a decimal comma',
    ],
    [
      'a decimal comma without',
      line(4, field(1, '0,5')),
      'fields where the header has 8'.replace('8', String(lines[0]!.split(',').length)),
    ],
    [
      '8-bit code values',
      line(4, field(1, '128')),
      ':4:10, camera cross, setup default: r: 128 where a fraction',
    ],
    [
      'semicolons',
      csv.replaceAll(',', ';'),
      ':1:1, camera cross, setup default: the fields are not separated by commas',
    ],
    ['nothing', '', ', camera cross, setup default: the file is empty'],
  ])('%s', async (_, content, message) => {
    const { status, out, err, file, untouched } = await match(content)
    expect(err).toContain(message.startsWith('fields') ? message : `error: ${file}${message}`)
    expect(out).toBe('')
    expect(status).toBe(2)
    expect(untouched).toBe(true)
  })

  test.each([
    ['a byte order mark', `\uFEFF${csv}`],
    ['CR LF', csv.replaceAll('\n', '\r\n')],
  ])('%s is no fault', async (_, content) => {
    const { status, err } = await match(content)
    expect(err).toBe('')
    expect(status).toBe(0)
  })
})
