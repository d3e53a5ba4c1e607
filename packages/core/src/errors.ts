import type { Shape } from './shape/shape.ts'
import type { place, warning } from './shape/warning.ts'

/** Stable names of what can be wrong with the input. Scripts may switch on them. */
export type ErrorCode =
  | 'frame-unreadable'
  | 'frame-size'
  | 'chart-not-found'
  | 'chart-invalid'
  | 'chart-unknown'
  | 'corners-invalid'
  | 'patches-missing'
  | 'patch-unknown'
  | 'patch-doubled'
  | 'readings-invalid'
  | 'too-few-patches'
  | 'chart-misread'
  | 'target-misread'
  | 'clipped'
  | 'rank-deficient'
  | 'lut-syntax'
  | 'lut-limits'
  | 'lineup-invalid'
  | 'match-invalid'
  | 'show-invalid'
  | 'encoding-unknown'
  | 'primaries-invalid'
  | 'target-invalid'
  | 'output-exists'
  | 'output-unwritable'
  | 'output-busy'
  | 'files-mixed'
  | 'usage'
  | 'tool-missing'
  | 'cancelled'
  | 'out-of-tolerance'

/** Where the fault is: whichever of these is known. Line and column count from 1. */
export interface Place extends Shape<typeof place> {}

const mark = Symbol.for('isochip.error')

/** Whatever is quoted in it, a line has an end, and a message few lines: nobody reads more, and a log is not filled by one. */
const longestLine = 400
const mostLines = 22

/** What a message may quote of a file, so that it is text and nothing else: a terminal obeys some characters. */
const escaped = (text: string) =>
  text.replace(
    /[\p{Cc}\p{Bidi_Control}]/gu,
    (one) => `\\u${one.codePointAt(0)!.toString(16).padStart(4, '0')}`,
  )

/** Of a long line the beginning and the end say enough. */
function shortened(line: string): string {
  if (line.length <= longestLine) return line
  const [start, end] = [line.slice(0, 240), line.slice(-120)]
  return `${start}… (${line.length - start.length - end.length} more characters) …${end}`
}

/** A text that people get to read, lines apart by `\n`. */
const readable = (text: string): string =>
  text
    .split('\n', mostLines)
    .map((line) => shortened(escaped(line)))
    .join('\n')

/**
 * Every fault of the input is one of these. `message` says what was found, what was expected and where; `hint`
 * says what to do about it. A fault of our own is any other kind of error.
 */
export class IsochipError extends Error {
  override readonly name = 'IsochipError'
  readonly code: ErrorCode
  readonly hint: string | undefined
  readonly place: Place

  constructor(
    code: ErrorCode,
    message: string,
    more: { hint?: string | undefined; place?: Place; cause?: unknown } = {},
  ) {
    super(readable(message), more.cause === undefined ? undefined : { cause: more.cause })
    // By this one copy of the library knows the errors of another. As a field with a computed name it would keep the class
    // in bundles that have no use for it.
    Object.defineProperty(this, mark, { value: true })
    this.code = code
    this.hint = more.hint === undefined ? undefined : readable(more.hint)
    this.place = more.place ?? {}
  }
}

/**
 * Is this an error of isochip, of whichever copy of the library? In one program there may be two, by two versions or
 * two bundles, and then `instanceof` fails for the errors of the other.
 */
export function isIsochipError(error: unknown): error is IsochipError {
  return error instanceof Error && (error as { [mark]?: unknown })[mark] === true
}

/** Something the user should know that does not stop the work. Returned as data; only a command prints it. */
export interface Warning extends Shape<typeof warning> {}

/** The place as a prefix for a message: `file:line:column`, then camera, setup and patch. Empty if unknown. */
export function placeText(place: Place): string {
  const file = [place.file, place.line, place.column].filter((part) => part !== undefined).join(':')
  const rest = [
    place.camera === undefined ? undefined : `camera ${place.camera}`,
    place.setup === undefined ? undefined : `setup ${place.setup}`,
    place.patch === undefined ? undefined : `patch "${place.patch}"`,
  ]
  return escaped([file, ...rest].filter((part) => part !== undefined && part !== '').join(', '))
}
