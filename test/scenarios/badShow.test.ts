import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { filesBelow } from '../support/filesBelow.ts'
import { runCommand } from './support/runCommand.ts'
import { replaced, smallShowText, writeSmallShow } from './support/smallShow.ts'

/*
 * Faults of the show file: exit status 2, one clear error with line and column, a hint, and nothing written.
 */
describe('a faulty show file', () => {
  test.each([
    [
      'an unknown key',
      replaced(smallShowText, 'target:', 'targets: x\ntarget:'),
      ':4:1: unknown key "targets"',
      'did you mean target?',
    ],
    [
      'a wrong type',
      `${smallShowText}tolerance: { mean: "1,0" }\n`,
      ':9:20: tolerance.mean: found "1,0", expected a number',
      '',
    ],
    [
      'no path',
      replaced(smallShowText, ', readings: cross.csv', ''),
      ':7:5: camera "cross" has neither frames nor readings',
      'give frames:',
    ],
    [
      'a camera named twice',
      replaced(smallShowText, 'id: cross', 'id: wide'),
      ':7:11: camera "wide" is named twice',
      'two cameras need two ids',
    ],
    [
      'a target that is not there',
      replaced(smallShowText, 'camera: wide', 'camera: wade'),
      ':4:19: the target camera "wade" is none of the show’s cameras',
      'did you mean wide?',
    ],
    [
      'a chart that is not there',
      replaced(smallShowText, 'chart24', 'chart42'),
      ':3:8: "chart42" is neither a built-in chart nor a file',
      'did you mean chart24?',
    ],
    [
      'a reference light nobody knows',
      replaced(smallShowText, '{ camera: wide }', '{ reference: D56 }'),
      ':4:9: "D56" is neither a CIE illuminant nor a file',
      'did you mean D50?',
    ],
    [
      'a log curve that falls',
      replaced(smallShowText, 'encoding: srgb', 'encoding: { transfer: { log: { logSideSlope: -1 } } }'),
      ':7:28, camera cross: the log curve falls',
      'both positive',
    ],
    [
      'a weight of no patch',
      `${smallShowText}fit: { weights: { patches: { gold: 2 } } }\n`,
      ':9:6: chart chart24 has no patch "gold" to be weighted',
      'dark skin',
    ],
    [
      'a frame that is not there',
      replaced(smallShowText, 'wide.png', 'wida.png'),
      ':6:5, camera wide, setup default: there is no frame wida.png',
      'paths start at the folder of the show file',
    ],
    [
      'readings that are not there',
      replaced(smallShowText, 'cross.csv', 'none.csv'),
      ':7:5, camera cross, setup default: there is no file none.csv',
      'paths start at the folder of the show file',
    ],
  ])('%s', async (name, show, message, hint) => {
    const missing = name.includes('that are not there') || name === 'a frame that is not there'
    // With two cameras there is nothing left to deliver when one fails.
    const text = missing
      ? show
          .split('\n')
          .filter((line) => !line.includes('id: crane'))
          .join('\n')
      : show
    const folder = await writeSmallShow({ 'show.yaml': text })
    const before = filesBelow(folder)
    const { status, out, err } = await runCommand('match', join(folder, 'show.yaml'))
    expect(err).toContain(`error: ${join(folder, 'show.yaml')}${message}`)
    expect(err).toContain(hint)
    expect(out).toBe('')
    expect(status).toBe(2)
    expect(filesBelow(folder)).toEqual(before)
  })

  test('a show file that is not there, and one that is a folder', async () => {
    const folder = await writeSmallShow()
    const none = await runCommand('match', join(folder, 'none.yaml'))
    expect(none).toMatchObject({ status: 2, out: '' })
    expect(none.err).toContain('none.yaml: there is no such file')
    const dir = await runCommand('match', folder)
    expect(dir).toMatchObject({ status: 2, out: '' })
    expect(dir.err).toContain('this is a folder, expected a show file')
  })

  test('--json says the fault as one JSON document', async () => {
    const folder = await writeSmallShow({
      'show.yaml': replaced(smallShowText, 'camera: wide', 'camera: wade'),
    })
    const { status, out } = await runCommand('match', join(folder, 'show.yaml'), '--json')
    expect(status).toBe(2)
    expect(JSON.parse(out)).toEqual({
      isochip: 'error/1',
      error: {
        code: 'show-invalid',
        message: 'the target camera "wade" is none of the show’s cameras',
        hint: 'did you mean wide?',
        place: { file: join(folder, 'show.yaml'), line: 4, column: 19 },
      },
    })
  })
})
