import { expect, test } from 'vitest'
import { textOf, trackedFiles } from './support/trackedFiles.ts'

// Whoever embeds a library has no command line: the command adds its options to what the libraries say.
test('no text of a library names an option of the command', () => {
  const named = trackedFiles
    .filter((file) => /^packages\/(?:core|frames|export|report|show)\/src\/.*\.ts$/.test(file))
    .flatMap((file) =>
      textOf(file)!
        .split('\n')
        .flatMap((line, index) =>
          /['"`(\s]--(?:out|force|then|luts|id|size|format|corners|seconds|frame|cache|workers|chart|strict|json|verbose)\b/.test(
            line,
          )
            ? [`${file}:${index + 1}: ${line.trim()}`]
            : [],
        ),
    )
  expect(named).toEqual([])
})
