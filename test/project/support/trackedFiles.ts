import { execFileSync } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

export const root = new URL('../../../', import.meta.url)

/** Paths of all files under version control, from the top of the repository. */
export const trackedFiles: readonly string[] = execFileSync('git', ['ls-files', '-z'], {
  cwd: fileURLToPath(root),
  encoding: 'utf8',
  maxBuffer: 2 ** 26,
})
  .split('\0')
  .filter((path) => path !== '' && existsSync(new URL(path, root)))

/** A tracked file as text; `undefined` for one that has none (a picture). */
export function textOf(path: string): string | undefined {
  const bytes = readFileSync(new URL(path, root))
  return bytes.includes(0) ? undefined : bytes.toString('utf8')
}

/** What readers read: the Markdown of the project. */
export const markdownFiles = trackedFiles.filter((path) => path.endsWith('.md'))
