import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { buildPage } from '../../../packages/page/scripts/buildPage.ts'

/** The page, bundled from its sources as they are, in a folder of its own. */
export async function builtPage(): Promise<string> {
  const folder = mkdtempSync(join(tmpdir(), 'isochip-built-page-'))
  await buildPage(folder)
  return folder
}
