import { realpath } from 'node:fs/promises'
import { resolve } from 'node:path'
import { IsochipError } from '@isochip/core'

/**
 * What is read must not be what is written, by whichever names and links the two are given, `force` or not.
 *
 * @throws IsochipError `output-exists`
 */
export async function keepInput(output: string, inputs: readonly string[]): Promise<void> {
  const target = await realOf(output)
  for (const input of inputs) {
    if ((await realOf(input)) === target) {
      throw new IsochipError('output-exists', `${output} is what is read: it would be written over`, {
        hint: 'give another name or folder for what comes out',
        place: { file: output },
      })
    }
  }
}

const realOf = (path: string) => realpath(path).catch(() => resolve(path))
