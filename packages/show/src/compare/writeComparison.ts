import { responsesCsv, responsesHtml, responsesJson } from '@isochip/report'
import { OutputFolder, type Written } from '../files/outputFolder.ts'
import { markHtml } from '../files/ownMark.ts'
import { version } from '../version.ts'
import type { Comparison } from './compareShow.ts'

/**
 * Writes a comparison into a folder as a page, a table and a document: `compare.html`, `compare.csv`, `compare.json`.
 * All appear together, or none.
 *
 * @throws IsochipError `output-exists`, `output-unwritable`
 */
export async function writeComparison(
  comparison: Comparison,
  out: string,
  options: { readonly force?: boolean } = {},
): Promise<Written> {
  const files = [
    ['compare.html', markHtml(responsesHtml(comparison), version)],
    ['compare.csv', responsesCsv(comparison)],
    ['compare.json', responsesJson(comparison)],
  ] as const
  const folder = await OutputFolder.open(
    out,
    files.map(([name]) => name),
    options,
  )
  try {
    for (const [name, text] of files) await folder.stage(name, text)
    return await folder.commit()
  } finally {
    await folder.discard()
  }
}
