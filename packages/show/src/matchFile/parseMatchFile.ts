import { IsochipError } from '@isochip/core'
import { LineCounter, parseDocument } from 'yaml'
import { yamlPlace } from '../showFile/yamlPlace.ts'
import type { MatchFile } from './matchFile.ts'

const hint = 'give a .match.json file as isochip match writes it'

/**
 * Reads a match file (JSON).
 *
 * @param text content of the file
 * @param file its name, for error messages
 * @throws IsochipError `match-invalid` with line and column
 */
export async function parseMatchFile(text: string, file?: string): Promise<MatchFile> {
  const named = file === undefined ? {} : { file }
  let content: unknown
  try {
    content = JSON.parse(text.replace(/^\uFEFF/, ''))
  } catch (cause) {
    throw new IsochipError('match-invalid', `this is not valid JSON: ${(cause as Error).message}`, {
      hint,
      place: named,
      cause,
    })
  }
  const [{ matchSchema }, { schemaFaults }] = await Promise.all([
    import('./matchSchema.ts'),
    import('../showFile/schemaFaults.ts'),
  ])
  const result = matchSchema.safeParse(content, { reportInput: true })
  // The file as it is, not as the schema understood it: what a later version added stays with it.
  if (result.success) return content as MatchFile
  const [first] = schemaFaults(matchSchema, content, result.error.issues)
  if (first === undefined) throw new Error('the match file was refused without a reason')
  const lines = new LineCounter()
  const doc = parseDocument(text, { lineCounter: lines, prettyErrors: false })
  throw new IsochipError('match-invalid', first.message, {
    hint: first.hint ?? hint,
    place: { ...named, ...yamlPlace(doc, lines, first.path, first.at) },
  })
}
