import { given, IsochipError } from '@isochip/core'
import { parsedYaml } from '../showFile/parsedYaml.ts'
import type { Fault } from '../showFile/schemaFaults.ts'
import { yamlPlace } from '../showFile/yamlPlace.ts'
import { earlierMatchFile } from './earlierMatchFile.ts'
import type { MatchFile } from './matchFile.ts'

const hint = 'give a .match.json file as isochip match writes it'

/**
 * Reads a match file (JSON), of earlier builds too. Members that it does not know are passed over.
 *
 * @param text content of the file
 * @param name of the file, for error messages
 * @throws IsochipError `match-invalid` with line and column
 */
export async function parseMatchFile(text: string, name?: string): Promise<MatchFile> {
  const named = given({ file: name })
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
  const [{ matchHeading, matchShape }, { schemaFaults }] = await Promise.all([
    import('./matchShape.ts'),
    import('../showFile/schemaFaults.ts'),
  ])
  const file = earlierMatchFile(content)
  const heading = matchHeading.safeParse(content, { reportInput: true })
  const result = matchShape.safeParse(file, { reportInput: true })
  if (heading.success && result.success) return result.data
  const [first] = heading.success
    ? schemaFaults(matchShape, file, result.error?.issues ?? [])
    : schemaFaults(matchHeading, content, heading.error.issues)
  if (first === undefined) throw new Error('the match file was refused without a reason')
  throw new IsochipError('match-invalid', first.message, {
    hint: first.hint ?? hint,
    place: { ...named, ...placeOf(text, first) },
  })
}

/** A match file has some 30,000 letters; in one that has far more, no line is looked for: it would take minutes. */
const largestSearched = 1_000_000

function placeOf(text: string, { path, at }: Fault): { line?: number; column?: number } {
  const parsed = text.length > largestSearched ? undefined : parsedYaml(text)
  return parsed === undefined ? {} : yamlPlace(parsed.doc, parsed.lines, path, at)
}
