import { IsochipError, type Place } from '@isochip/core'
import type { Document } from 'yaml'
import { parsedYaml } from './parsedYaml.ts'
import type { Fault } from './schemaFaults.ts'
import type { Show, ShowPlace } from './show.ts'
import { type FaultPath, pathText, yamlPlace } from './yamlPlace.ts'

/**
 * Reads a show file, YAML or JSON (which is YAML as well), or takes a show as plain data of the same form.
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
 * @param source content of the file, or what it holds as a plain object
 * @param file its name, for error messages and as the title of a show that has none
 * @throws IsochipError `show-invalid` with line and column of the first fault, for an object with the path to it;
 *   further faults follow in the message
 */
export async function parseShow(source: string | object, file?: string): Promise<Show> {
  const { content, placeOf } = typeof source === 'string' ? fromText(source, file) : fromObject(source, file)
  if (content === null || content === undefined)
    throw new IsochipError('show-invalid', 'the show file is empty', {
      hint: 'it needs at least isochip: 1, chart, target and cameras',
      place: { ...named(file), line: 1, column: 1 },
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
    return placeOf === undefined ? show : { ...show, places: placesOf(show, placeOf) }
  // A schema that fails without an issue would be a fault of ours.
  if (faults.length === 0) throw new Error('the show file was refused without a reason')
  throw faultsError(faults, file, placeOf)
}

type PlaceOf = (path: FaultPath, at?: Fault['at']) => ShowPlace

interface Content {
  readonly content: unknown
  /** Where a part of it stands; an object has no lines. */
  readonly placeOf?: PlaceOf
}

const named = (file: string | undefined): Place => (file === undefined ? {} : { file })

/** Letters: some three thousand shots with corners, one value per line. The YAML of a few megabytes can take minutes. */
const largestText = 1_000_000

function fromText(text: string, file: string | undefined): Content {
  if (text.length > largestText)
    throw new IsochipError(
      'show-invalid',
      `the show file has ${text.length} characters, expected at most ${largestText}`,
      { hint: 'split the show, or give its cameras as a plain object', place: named(file) },
    )
  const parsed = parsedYaml(text)
  if (parsed === undefined)
    throw new IsochipError('show-invalid', 'this is not valid YAML: it is nested too deep', {
      hint: 'check the indentation, the brackets and the dashes at the beginning of lines',
      place: { ...named(file), line: 1, column: 1 },
    })
  const { doc, lines } = parsed
  const [syntax] = doc.errors
  if (syntax !== undefined) {
    const { line, col } = lines.linePos(syntax.pos[0])
    const noColon = syntax.code === 'MULTILINE_IMPLICIT_KEY'
    const what = noColon ? 'this line is not a key with a value' : syntax.message
    throw new IsochipError('show-invalid', `this is not valid YAML: ${what}`, {
      hint: noColon
        ? 'is a colon missing? A key stands before a colon and a space, as in chart: chart24'
        : 'check the indentation (spaces, no tabs), the brackets and the quotes above this place',
      place: { ...named(file), line, column: col },
      cause: syntax,
    })
  }
  return {
    content: plain(doc, (more) => ({ ...named(file), ...more })),
    placeOf: (path, at) => yamlPlace(doc, lines, path, at),
  }
}

/** What JSON can hold; anything else (a date, a class, a circle) is no show. */
function fromObject(source: object, file: string | undefined): Content {
  try {
    return { content: JSON.parse(JSON.stringify(source)) as unknown }
  } catch (cause) {
    throw new IsochipError('show-invalid', `this is no plain data: ${(cause as Error).message}`, {
      hint: 'give what a show file holds: maps, lists, texts, numbers',
      place: named(file),
      cause,
    })
  }
}

/** More faults than these help nobody, and a message has to have an end. */
const mostFaults = 20

/** All faults as one error, that of the first. */
function faultsError(
  faults: readonly Fault[],
  file: string | undefined,
  placeOf: PlaceOf | undefined,
): IsochipError {
  const placed = faults
    .map((fault) => ({ fault, at: placeOf?.(fault.path, fault.at) }))
    .sort((a, b) => (a.at?.line ?? 0) - (b.at?.line ?? 0) || (a.at?.column ?? 0) - (b.at?.column ?? 0))
  const [first, ...others] = placed.slice(0, mostFaults)
  const { fault, at } = first!
  const place = { ...named(file), ...at }
  if (others.length === 0) return new IsochipError('show-invalid', fault.message, { hint: fault.hint, place })
  const withHint = (one: Fault) => `${one.message}${one.hint === undefined ? '' : ` (${one.hint})`}`
  const also = others.map(
    (one) =>
      `\n  also ${one.at === undefined ? '' : `line ${one.at.line}, column ${one.at.column}: `}${withHint(one.fault)}`,
  )
  const more = placed.length > mostFaults ? `\n  and ${placed.length - mostFaults} more` : ''
  return new IsochipError('show-invalid', withHint(fault) + also.join('') + more, { place })
}

/** Where that stands in the file of which something may turn out wrong only later, when files are opened. */
function placesOf(show: Show, at: PlaceOf): Record<string, ShowPlace> {
  const paths: FaultPath[] = [['chart'], ['target'], ['working'], ['fit'], ['output', 'encoding']]
  for (const [index, camera] of show.cameras.entries()) {
    paths.push(['cameras', index], ['cameras', index, 'encoding'])
    for (const shot of camera.shots.keys()) paths.push(['cameras', index, 'shots', shot])
  }
  return Object.fromEntries(paths.map((path) => [pathText(path), at(path)]))
}

function plain(doc: Document.Parsed, place: (more: Place) => Place): unknown {
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
