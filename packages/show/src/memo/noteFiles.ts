import { setTimeout } from 'node:timers/promises'
import type { OutputFolder } from '../files/outputFolder.ts'
import { type FileStamp, type FileSums, fileStamp } from './fileSums.ts'

/** Longer than two writings of a file may carry the same time. */
const untilSettled = 150

/** Remembers the checksums of the files of a run, so that the next one need not read them. */
export async function noteFiles(
  folder: OutputFolder,
  sums: readonly ReadonlyMap<string, string>[],
  known: FileSums,
): Promise<void> {
  const files = sums.flatMap((one) => [...one]).map(([name, sum]) => ({ path: folder.at(name), sum }))
  const unknown: ((typeof files)[number] & { readonly stamp: FileStamp })[] = []
  for (const file of files) {
    if ((await known.known(file.path)) === file.sum) continue
    const stamp = await fileStamp(file.path)
    if (stamp !== undefined) unknown.push({ ...file, stamp })
  }
  if (unknown.length === 0) return
  await setTimeout(untilSettled)
  for (const { path, sum, stamp } of unknown) {
    const now = await fileStamp(path)
    // Somebody else has written to it in the meantime.
    if (now?.changed === stamp.changed && now.inode === stamp.inode) known.note(path, stamp, sum, Date.now())
  }
}
