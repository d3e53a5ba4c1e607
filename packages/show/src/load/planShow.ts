import {
  type Chart,
  type Encoding,
  type EncodingSpec,
  IsochipError,
  isIsochipError,
  type NamedLight,
  type Place,
  type Primaries,
  type PrimariesSpec,
  resolveEncoding,
  resolvePrimaries,
  type Target,
  type TransferTable,
  targetFromReference,
} from '@isochip/core'
import type { Show, ShowEncoding } from '../showFile/show.ts'
import { suggestion } from '../showFile/suggestion.ts'
import { type CameraEncoding, isMeasured, measuredEncoding } from './measuredEncoding.ts'

/** A show with everything resolved that its matches need: all but the readings. */
export interface ShowPlan {
  readonly show: Show
  readonly chart: Chart
  readonly working: Primaries
  /** By camera id. */
  readonly encodings: ReadonlyMap<string, CameraEncoding>
  /** What the LUTs give out. */
  readonly output: Encoding
  /** The light that the target names, where it was measured and is no CIE illuminant. */
  readonly light?: NamedLight
}

/** The chart's colours in the light that the target names. */
export const referenceTarget = ({ chart, light, working }: ShowPlan, illuminant: string): Target =>
  targetFromReference(chart, light ?? illuminant, working)

export interface PlanParts {
  readonly chart: Chart
  /** Transfer tables by the path that the show file gives for them. */
  readonly tables?: ReadonlyMap<string, TransferTable>
  /** The measured light that the target names. */
  readonly light?: NamedLight
  /** Name of the show file, for messages. */
  readonly file?: string
}

/**
 * Resolves a show's encodings, primaries and weights. Pure: the chart and the tables come from the caller.
 *
 * @throws IsochipError `encoding-unknown`, `primaries-invalid`, `patch-unknown`, `target-invalid`, with the place in the show file
 */
export function planShow(show: Show, parts: PlanParts): ShowPlan {
  const at = (path: string, more: Place = {}): Place => ({
    ...(parts.file === undefined ? {} : { file: parts.file }),
    ...show.places?.[path],
    ...more,
  })
  const tables = parts.tables ?? new Map<string, TransferTable>()
  const encodings = new Map(
    show.cameras.map(({ id, encoding }, index): [string, CameraEncoding] => [
      id,
      placed(at(`cameras[${index}].encoding`, { camera: id }), () => cameraEncoding(encoding, tables)),
    ]),
  )
  const working = placed(at('working'), () => resolvePrimaries(show.working))
  for (const name of Object.keys(show.fit.weights?.patches ?? {})) {
    const names = parts.chart.patches.map((patch) => patch.name)
    if (names.includes(name)) continue
    throw new IsochipError('patch-unknown', `chart ${parts.chart.id} has no patch "${name}" to be weighted`, {
      hint: suggestion(name, names, 'its patches are'),
      place: at('fit'),
    })
  }
  const { target } = show
  // Tried here once, so that a target that cannot be is an error of the show and not of each of its setups.
  if ('reference' in target)
    placed(at('target'), () => targetFromReference(parts.chart, parts.light ?? target.reference, working))
  const { encoding } = show.output
  const output =
    encoding !== 'target'
      ? placed(at('output.encoding'), () => resolveEncoding(encodingSpec(encoding, tables)))
      : 'camera' in show.target
        ? knownEncoding(encodings, show.target.camera)
        : resolveEncoding(workingEncoding(show.working))
  const { chart, light } = parts
  return { show, chart, working, encodings, output, ...(light === undefined ? {} : { light }) }
}

/**
 * The encoding of one camera, as a shot is read by it.
 *
 * @param tables transfer tables by the path that the encoding gives for them; it must be among them
 * @throws IsochipError `encoding-unknown`, `primaries-invalid`
 */
export const cameraEncoding = (
  encoding: ShowEncoding,
  tables: ReadonlyMap<string, TransferTable> = new Map(),
): CameraEncoding => measuredEncoding(encoding) ?? resolveEncoding(encodingSpec(encoding, tables))

/**
 * The encoding of a camera that has to have one.
 *
 * @throws IsochipError `encoding-unknown` where its curve is to be measured
 */
export function knownEncoding(encodings: ShowPlan['encodings'], camera: string): Encoding {
  const encoding = encodings.get(camera)!
  if (!isMeasured(encoding)) return encoding
  throw new IsochipError(
    'encoding-unknown',
    `the curve of camera "${camera}" is to be measured, against a target that it is itself`,
    { hint: 'give its encoding, or take another camera as the target', place: { camera } },
  )
}

/** The transfer tables that a show names: their paths, and where in the show file. */
export function tablePaths(show: Show): readonly { readonly path: string; readonly at: string }[] {
  const encodings: [at: string, ShowEncoding | 'target'][] = [
    ...show.cameras.map(({ encoding }, index): [string, ShowEncoding] => [
      `cameras[${index}].encoding`,
      encoding,
    ]),
    ['output.encoding', show.output.encoding],
  ]
  return encodings.flatMap(([at, encoding]) =>
    typeof encoding === 'object' && typeof encoding.transfer === 'object' && 'table' in encoding.transfer
      ? [{ path: encoding.transfer.table, at }]
      : [],
  )
}

/** Where no camera is the target, LUTs give out the working primaries in the encoding that belongs to them. */
function workingEncoding(working: PrimariesSpec): EncodingSpec {
  if (working === 'bt709' || working === 'bt2020') return working
  if (working === 'ap1') return 'acescct'
  return { transfer: working === 'ap0' ? 'linear' : 'bt709', primaries: working }
}

function encodingSpec(encoding: ShowEncoding, tables: ReadonlyMap<string, TransferTable>): EncodingSpec {
  // What is measured has been told apart before, and no schema lets it be an output.
  const known = encoding as Exclude<ShowEncoding, 'measured'>
  if (typeof known === 'string') return known
  const { transfer, ...rest } = known
  if (transfer === 'measured') throw new Error('an encoding that is measured has no curve yet')
  if (typeof transfer === 'string' || !('table' in transfer)) return { transfer, ...rest }
  const table = tables.get(transfer.table)
  // The caller was told by `tablePaths` which tables it has to give.
  if (table === undefined) throw new Error(`the transfer table ${transfer.table} was not given`)
  return { transfer: { table }, ...rest }
}

/** Runs something, and adds a place to the error that comes of it. */
export function placed<T>(place: Place, run: () => T): T {
  try {
    return run()
  } catch (cause) {
    throw withPlace(cause, place)
  }
}

/** The same error with what its place lacks. Faults of our own stay as they are. */
export function withPlace(cause: unknown, place: Place): unknown {
  if (!isIsochipError(cause)) return cause
  return new IsochipError(cause.code, cause.message, {
    hint: cause.hint,
    place:
      cause.place.file === undefined
        ? { ...place, ...cause.place }
        : { ...withoutFile(place), ...cause.place },
    cause: cause.cause,
  })
}

/** Line and column belong to their file. */
function withoutFile({ file: _, line: __, column: ___, ...rest }: Place): Place {
  return rest
}
