import { stat } from 'node:fs/promises'
import { basename, dirname } from 'node:path'
import { IsochipError } from '@isochip/core'
import { OutputFolder } from '../files/outputFolder.ts'

/**
 * Writes a proposed show file, whole or not at all.
 *
 * @throws IsochipError `output-exists` where there is a file and `force` is not set: somebody may have filled it in
 */
export async function writeProposal(file: string, text: string, force: boolean): Promise<void> {
  if (!force && (await stat(file).catch(() => undefined)) !== undefined)
    throw new IsochipError('output-exists', 'there is such a file, and what was filled in would be lost', {
      hint: 'give another name, or have it replaced',
      place: { file },
    })
  const folder = await OutputFolder.open(dirname(file), [basename(file)], { force: true })
  try {
    await folder.stage(basename(file), text)
    await folder.commit()
  } finally {
    await folder.discard()
  }
}
