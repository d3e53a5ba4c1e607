import { join } from 'node:path'
import { copiedFolder, keptFolder } from '../../support/scratchFolder.ts'
import { runCommand } from './runCommand.ts'
import { fillSmallShow } from './smallShow.ts'

async function fill(folder: string): Promise<void> {
  await fillSmallShow(folder)
  const { status, err } = await runCommand('match', join(folder, 'show.yaml'))
  if (status !== 0) throw new Error(err)
}

/** The small show with what `match` writes, in `isochip-out`: to look at, for it is everybody's. */
export const matchedSmallShow = (): Promise<string> => keptFolder('small-show-matched', fill)

/** The same in a folder of one's own. */
export const copyOfMatched = (): Promise<string> => copiedFolder('small-show-matched', fill)
