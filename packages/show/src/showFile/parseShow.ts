import { IsochipError, type Place } from '@isochip/core'
import { LineCounter, parseDocument } from 'yaml'
import type { Fault } from './schemaFaults.ts'
import type { Show, ShowPlace } from './show.ts'
import { type FaultPath, pathText, yamlPlace } from './yamlPlace.ts'

/**
 * Reads a show file, YAML or JSON (which is YAML as well).
 *
 * ```yaml
 * isochip: 1
 * chart: chart24
 * target: { camera: wide }
 * cameras:
 *   - { id: wide, encoding: bt709, frames: wide/*.png }
 *   - { id: cross, encoding: bt709, frames: cross/*.png }
 * ```
 *
 * Traps: a key given twice is an error, not the last one's; `1,5` is text, not a number; a tab does not indent.
 *
 * @param text content of the file
 * @param file its name, for error messages and as the title of a show that has none
 * @throws IsochipError `show-invalid` with line and column of the first fault; further faults follow in the message
 */
export async function parseShow(text: string, file?: string): Promise<Show> {
  const lines = new LineCounter()
  const doc = parseDocument(text, { lineCounter: lines, prettyErrors: false })
  const place = (more: Place): Place => ({ ...(file === undefined ? {} : { file }), ...more })
  const [syntax] = doc.errors
  if (syntax !== undefined) {
    const { line, col } = lines.linePos(syntax.pos[0])
    const noColon = syntax.code === 'MULTILINE_IMPLICIT_KEY'
    const what = noColon ? 'this line is not a key with a value' : syntax.message
    throw new IsochipError('show-invalid', `this is not valid YAML: ${what}`, {
      hint: noColon
        ? 'is a colon missing? A key stands before a colon and a space, as in chart: chart24'
        : 'check the indentation (spaces, no tabs), the brackets and the quotes above this place',
      place: place({ line, column: col }),
      cause: syntax,
    })
  }
  const content = plain(doc, place)
  if (content === null || content === undefined)
    throw new IsochipError('show-invalid', 'the show file is empty', {
      hint: 'it needs at least isochip: 1, chart, target and cameras',
      place: place({ line: 1, column: 1 }),
    })
  // The schema library takes longer to load than all the rest together: only who parses a show waits for it.
  const [{ showSchema }, { schemaFaults }, { checkShow }] = await Promise.all([
    import('./showSchema.ts'),
    import('./schemaFaults.ts'),
    import('./checkShow.ts'),
  ])
  const result = showSchema.safeParse(content, { reportInput: true })
  const faults: Fault[] = []
  let show: Show | undefined
  if (result.success) show = checkShow(result.data, titleFrom(file), faults)
  else faults.push(...schemaFaults(showSchema, content, result.error.issues))
  if (show !== undefined && faults.length === 0)
    return { ...show, places: placesOf(show, (path) => yamlPlace(doc, lines, path)) }

  const placed = faults
    .map((fault) => ({ ...fault, ...yamlPlace(doc, lines, fault.path, fault.at) }))
    .sort((a, b) => a.line - b.line || a.column - b.column)
  const [first, ...others] = placed
  // A schema that fails without an issue would be a fault of ours.
  if (first === undefined) throw new Error('the show file was refused without a reason')
  const at = place({ line: first.line, column: first.column })
  if (others.length === 0)
    throw new IsochipError('show-invalid', first.message, {
      ...(first.hint === undefined ? {} : { hint: first.hint }),
      place: at,
    })
  const withHint = (fault: Fault) => `${fault.message}${fault.hint === undefined ? '' : ` (${fault.hint})`}`
  const also = others.map(
    (fault) => `\n  also line ${fault.line}, column ${fault.column}: ${withHint(fault)}`,
  )
  throw new IsochipError('show-invalid', withHint(first) + also.join(''), { place: at })
}

/** Where that stands in the file of which something may turn out wrong only later, when files are opened. */
function placesOf(show: Show, at: (path: FaultPath) => ShowPlace): Record<string, ShowPlace> {
  const paths: FaultPath[] = [['chart'], ['target'], ['working'], ['fit'], ['output', 'encoding']]
  for (const [index, camera] of show.cameras.entries()) {
    paths.push(['cameras', index], ['cameras', index, 'encoding'])
    for (const shot of camera.shots.keys()) paths.push(['cameras', index, 'shots', shot])
  }
  return Object.fromEntries(paths.map((path) => [pathText(path), at(path)]))
}

function plain(doc: ReturnType<typeof parseDocument>, place: (more: Place) => Place): unknown {
  try {
    return doc.toJS({ maxAliasCount: 100 })
  } catch (cause) {
    throw new IsochipError('show-invalid', `this is not valid YAML: ${(cause as Error).message}`, {
      place: place({ line: 1, column: 1 }),
      cause,
    })
  }
}

function titleFrom(file: string | undefined): string {
  const name = file
    ?.split(/[\\/]/)
    .at(-1)
    ?.replace(/\.(ya?ml|json)$/i, '')
  return name === undefined || name === '' ? 'Untitled show' : name
}
