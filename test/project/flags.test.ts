import { expect, test } from 'vitest'
import { textOf, trackedFiles } from './support/trackedFiles.ts'

const linesOf = (pattern: RegExp) =>
  trackedFiles
    .filter((file) => pattern.test(file))
    .flatMap((file) =>
      textOf(file)!
        .split('\n')
        .map((line, index) => ({ line, at: `${file}:${index + 1}` })),
    )

/** Every option that a command declares. */
const options = [
  ...new Set(
    linesOf(/^packages\/cli\/src\/.*\.ts$/).flatMap(({ line }) =>
      [...line.matchAll(/['"`](?:-\w, )?--([a-z][a-z-]*)[ '"`]/g)].map(([, name]) => name!),
    ),
  ),
]

// Whoever embeds a library has no command line: the command adds its options to what the libraries say.
test('no text of a library names an option of the command', () => {
  expect(options).toEqual(expect.arrayContaining(['out', 'values', 'corners', 'workers', 'light', 'strict']))
  const named = new RegExp(`['"\`\\s]--(?:${options.join('|')})\\b(?!-)`)
  const found = linesOf(/^packages\/(?:core|frames|export|report|show)\/src\/.*\.ts$/)
    .filter(({ line }) => named.test(line))
    .map(({ line, at }) => `${at}: ${line.trim()}`)
  expect(found).toEqual([])
})
