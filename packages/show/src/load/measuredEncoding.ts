import {
  type Chart,
  type Encoding,
  measureTransfer,
  type Primaries,
  type PrimariesSpec,
  type Range,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  type Target,
  type Warning,
} from '@isochip/core'
import type { ShowEncoding } from '../showFile/show.ts'

/** The encoding of a camera whose curve is not known: it is measured on the chart, in every setup anew. */
export interface MeasuredEncoding {
  readonly spec: {
    readonly transfer: 'measured'
    readonly primaries: PrimariesSpec
    readonly range: Range
  }
  readonly primaries: Primaries
  readonly range: Range
}

export type CameraEncoding = Encoding | MeasuredEncoding

export const isMeasured = (encoding: CameraEncoding): encoding is MeasuredEncoding =>
  encoding.spec.transfer === 'measured'

/** `undefined` for an encoding that is known. @throws IsochipError `primaries-invalid` */
export function measuredEncoding(encoding: ShowEncoding): MeasuredEncoding | undefined {
  const whole = typeof encoding === 'string' ? { transfer: encoding } : encoding
  if (whole.transfer !== 'measured') return undefined
  const { primaries = 'bt709', range = 'full' } = whole
  return {
    spec: { transfer: 'measured', primaries, range },
    primaries: resolvePrimaries(primaries),
    range,
  }
}

/**
 * The encoding with its curve: as it is where it is known, otherwise with a table from the readings.
 *
 * @throws IsochipError `too-few-patches`, `readings-invalid` where the grey scale carries no curve
 */
export function withCurve(
  encoding: CameraEncoding,
  chart: Chart,
  readings: Readings,
  target: Target,
  working: Primaries,
): { readonly encoding: Encoding; readonly warnings: readonly Warning[] } {
  if (!isMeasured(encoding)) return { encoding, warnings: [] }
  const { primaries, range } = encoding
  const { table, warnings } = measureTransfer({ chart, readings, target, working, primaries })
  return {
    encoding: resolveEncoding({ transfer: { table }, primaries: encoding.spec.primaries, range }),
    warnings: [...warnings, levelsInCurve],
  }
}

/** The curve goes through the target's greys, so that what was wrong with the levels is gone before a match begins. */
const levelsInCurve: Warning = {
  code: 'levels-in-curve',
  message:
    'exposure, white balance and black balance are in the measured curve: the figures as shot, and what is said of them on set, are only what it leaves',
}
