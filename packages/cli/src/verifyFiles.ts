import type { FilesCheckFile } from '@isochip/show/node'
import type { Run } from './run.ts'
import { status } from './status.ts'
import { warningText } from './text/errorText.ts'

/** Says whether the files in a folder are all of one run, and sets the exit status to it. */
export async function verifyFiles(
  { terminal, setStatus }: Run,
  folder: string,
  json: boolean,
): Promise<void> {
  const { checkFiles, mixedFiles } = await import('@isochip/show/node')
  const check = await checkFiles(folder)
  const wrong = mixedFiles(check)
  if (wrong !== undefined) setStatus(status.input)
  if (json) {
    const document: FilesCheckFile = { isochip: 'files/1', folder, ...check }
    terminal.out(`${JSON.stringify(document, null, 2)}\n`)
    return
  }
  terminal.out(
    wrong === undefined
      ? `${folder}: ${check.files.length} files, all of one run, as it wrote them\n`
      : `${folder}: ${wrong}\nRun the match again: it replaces them all.\n`,
  )
  const left = `${check.left.slice(0, 3).join(', ')}${check.left.length > 3 ? ` and ${check.left.length - 3} more` : ''}`
  if (check.left.length > 0)
    terminal.err(
      warningText(
        { code: 'files-of-earlier-run', message: `left from another run, and none of its files: ${left}` },
        terminal,
      ),
    )
}
