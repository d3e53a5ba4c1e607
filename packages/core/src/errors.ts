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
export interface Place {
  readonly file?: string
  readonly line?: number
  readonly column?: number
  readonly camera?: string
  readonly setup?: string
  readonly patch?: string
}

const mark = Symbol.for('isochip.error')

/** Whatever is quoted in it, a message has an end: nobody reads more, and a log is not filled by a file of one line. */
const mostCharacters = 4000

function bounded(text: string): string {
  if (text.length <= mostCharacters) return text
  return `${text.slice(0, mostCharacters)}… (${text.length - mostCharacters} more characters)`
}

/**
 * Every fault of the input is one of these. `message` says what was found, what was expected and where; `hint`
 * says what to do about it. A fault of our own is any other kind of error.
 */
export class IsochipError extends Error {
  override readonly name = 'IsochipError'
  /** By this one copy of the library knows the errors of another. */
  readonly [mark] = true
  readonly code: ErrorCode
  readonly hint: string | undefined
  readonly place: Place

  constructor(
    code: ErrorCode,
    message: string,
    more: { hint?: string; place?: Place; cause?: unknown } = {},
  ) {
    super(bounded(message), more.cause === undefined ? undefined : { cause: more.cause })
    this.code = code
    this.hint = more.hint === undefined ? undefined : bounded(more.hint)
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

/**
 * Stable names of what a user should know, of all packages. Scripts may switch on them; a file that a later version
 * wrote may have others.
 */
export type WarningCode =
  // core: target, samples, curve, match
  | 'reference-adapted'
  | 'reference-observer'
  | 'patch-left-out'
  | 'patch-outlier'
  | 'chart-misread'
  | 'target-misread'
  | 'curve-measured'
  | 'model-reduced'
  | 'not-converged'
  | 'few-patches'
  | 'drawn-to-levels'
  | 'overfitted'
  | 'encoding-doubtful'
  | 'range-doubtful'
  | 'uneven-light'
  | 'ill-conditioned'
  // frames: pictures and clips, reference values, patches
  | 'alpha-dropped'
  | 'orientation-kept'
  | 'first-page'
  | 'first-track'
  | 'interlaced'
  | 'ycbcr-unused'
  | 'range-assumed'
  | 'matrix-assumed'
  | 'conditions-assumed'
  | 'matched-by-order'
  | 'patch-flat'
  | 'patch-soiled'
  | 'patch-foreign'
  | 'charts-several'
  | 'frames-differ'
  | 'shot-size'
  | 'shot-clipping'
  | 'shot-noise'
  | 'shot-evenness'
  | 'shot-glare'
  | 'shot-flare'
  // export: LUTs
  | 'lattice-shaper'
  | 'lattice-error'
  | 'clf-deviation'
  | 'clf-id'
  | 'clf-index-map'
  | 'clf-profile'
  | 'cube-domain'
  | 'cube-long-line'
  | 'cube-crlf'
  | 'cube-leading-space'
  | 'cube-bom'
  | 'cube-tab'
  | 'cube-trailing-space'
  | 'cube-blank-line'
  | 'cube-title-quotes'
  | 'cube-input-range'
  | 'cube-shaper'
  | 'cube-lower-exponent'
  // show: plan, shots, LUTs and matches on disk
  | 'levels-in-curve'
  | 'narrow-levels'
  | 'chart-old'
  | 'borrowed-match'
  | 'beyond-lut'
  | 'beyond-nodes'
  | 'size-unused'
  | 'luts-differ'
  | 'lut-not-of-match'
  | 'lut-of-earlier-run'
  | 'files-of-earlier-run'
  | 'files-mixed'
  | 'other-setup'
  | 'other-chart'
  | 'other-target'
  | 'other-encoding'

/** Something the user should know that does not stop the work. Returned as data; only a command prints it. */
export interface Warning {
  /** Stable name, for scripts. */
  readonly code: WarningCode
  /** Plain words, with the numbers. */
  readonly message: string
  readonly place?: Place
}

/** The place as a prefix for a message: `file:line:column`, then camera, setup and patch. Empty if unknown. */
export function placeText(place: Place): string {
  const file = [place.file, place.line, place.column].filter((part) => part !== undefined).join(':')
  const rest = [
    place.camera === undefined ? undefined : `camera ${place.camera}`,
    place.setup === undefined ? undefined : `setup ${place.setup}`,
    place.patch === undefined ? undefined : `patch "${place.patch}"`,
  ]
  return [file, ...rest].filter((part) => part !== undefined && part !== '').join(', ')
}
