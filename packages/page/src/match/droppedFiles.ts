import type { NamedFile } from './messages.ts'

/** More than this at once is a slip of the hand: a disk, a home folder. */
const most = 2000

/** All files that were dropped, those in folders with their paths. */
export async function droppedFiles(transfer: DataTransfer): Promise<readonly NamedFile[]> {
  // What a drop holds is gone once anything has been waited for.
  const entries = [...transfer.items].flatMap((item) => item.webkitGetAsEntry() ?? [])
  if (entries.length === 0) return chosenFiles(transfer.files)
  const found: NamedFile[] = []
  for (const entry of entries) await walk(entry, found)
  return found
}

export const chosenFiles = (files: FileList): readonly NamedFile[] =>
  [...files].map((file) => ({ path: file.webkitRelativePath || file.name, file }))

async function walk(entry: FileSystemEntry, found: NamedFile[]): Promise<void> {
  if (found.length >= most || entry.name.startsWith('.')) return
  if (isFile(entry)) {
    const file = await new Promise<File>((resolve, reject) => entry.file(resolve, reject))
    found.push({ path: entry.fullPath.replace(/^\//, ''), file })
    return
  }
  if (!isFolder(entry)) return
  const reader = entry.createReader()
  for (;;) {
    // A reader gives a hundred at a time, and none when it is through.
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) =>
      reader.readEntries(resolve, reject),
    )
    if (some.length === 0) return
    for (const one of some) await walk(one, found)
  }
}

const isFile = (entry: FileSystemEntry): entry is FileSystemFileEntry => entry.isFile
const isFolder = (entry: FileSystemEntry): entry is FileSystemDirectoryEntry => entry.isDirectory
