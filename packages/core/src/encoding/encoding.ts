import { type Primaries, type PrimariesSpec, resolvePrimaries } from '../colour/primaries.ts'
import { IsochipError } from '../errors.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { encoding, transfer, wholeEncoding } from '../shape/encoding.ts'
import type { Shape } from '../shape/shape.ts'
import { acescc, acescct } from './aces.ts'
import { bt709, bt2020 } from './bt709.ts'
import { hlg } from './hlg.ts'
import { log } from './log.ts'
import { bt1886, linear, power } from './power.ts'
import { pq } from './pq.ts'
import { type Range, ranges } from './range.ts'
import { srgb } from './srgb.ts'
import { table } from './table.ts'
import type { Transfer } from './transfer.ts'
import { type TransferName, transferNames } from './transferNames.ts'

const named: Readonly<Record<TransferName, Transfer>> = {
  linear,
  bt709,
  bt2020,
  bt1886,
  srgb,
  pq,
  hlg,
  acescc,
  acescct,
}

/** A transfer characteristic as it stands in a show file or a match file. */
export type TransferSpec = Shape<typeof transfer>

/** An encoding as it stands in a show file. A name alone stands for the standard's own primaries, full range. */
export type EncodingSpec = Shape<typeof encoding>

/**
 * An encoding with nothing left to defaults: plain data, which can be written down, cloned and sent to another thread.
 * Its curve is `resolveTransfer(encoding.spec.transfer)`.
 */
export interface Encoding {
  /** As it stands in a file: names where there are names. */
  readonly spec: Shape<typeof wholeEncoding>
  readonly primaries: Primaries
  readonly range: Range
}

/** The primaries that go with a name when none are given. */
const ownPrimaries: Record<TransferName, PrimariesSpec> = {
  linear: 'bt709',
  bt709: 'bt709',
  bt2020: 'bt2020',
  bt1886: 'bt709',
  srgb: 'bt709',
  pq: 'bt2020',
  hlg: 'bt2020',
  acescc: 'ap1',
  acescct: 'ap1',
}

/** Curves that are made of numbers, by their specification: what others work out of a curve stays with it in turn. */
const made = new WeakMap<object, Transfer>()

/**
 * The functions of a transfer characteristic. The same for the same specification, which must not be changed after.
 *
 * @throws IsochipError `encoding-unknown` for a name or parameters that are none of ours.
 */
export function resolveTransfer(spec: TransferSpec): Transfer {
  if (typeof spec === 'string' && Object.hasOwn(named, spec)) return named[spec]
  if (typeof spec !== 'object' || spec === null) {
    throw new IsochipError(
      'encoding-unknown',
      `transfer characteristic ${JSON.stringify(spec)} is not known`,
      {
        hint: `one of ${transferNames.join(', ')}, or { power }, { log } or { table }`,
      },
    )
  }
  const before = made.get(spec)
  if (before !== undefined) return before
  const transfer = transferOfNumbers(spec)
  made.set(spec, transfer)
  return transfer
}

function transferOfNumbers(spec: Exclude<TransferSpec, string>): Transfer {
  const keys = Object.keys(spec)
  if (keys.length !== 1) {
    throw new IsochipError(
      'encoding-unknown',
      `a transfer characteristic with ${keys.join(' and ') || 'nothing in it'}, expected one of power, log, table`,
    )
  }
  if ('power' in spec) {
    if (!(spec.power > 0 && Number.isFinite(spec.power))) {
      throw new IsochipError('encoding-unknown', `power is ${spec.power}, expected a positive number`)
    }
    return power(spec.power)
  }
  if ('log' in spec) return log(spec.log)
  if ('table' in spec) return table(spec.table)
  throw new IsochipError(
    'encoding-unknown',
    `a transfer characteristic with ${keys[0]}, expected one of power, log, table`,
  )
}

/**
 * A specification with its defaults filled in and checked. Primaries default to those of the named standard (BT.709
 * where the transfer has no name), range to full.
 *
 * @throws IsochipError `encoding-unknown`, `primaries-invalid`
 */
export function resolveEncoding(spec: EncodingSpec): Encoding {
  const given = typeof spec === 'string' ? { transfer: spec } : spec
  const { transfer, primaries, range = 'full', ...rest } = given
  const [unknown] = Object.keys(rest)
  if (unknown !== undefined) {
    throw new IsochipError(
      'encoding-unknown',
      `an encoding has no ${unknown}, only transfer, primaries and range`,
    )
  }
  resolveTransfer(transfer)
  if (!(ranges as readonly string[]).includes(range)) {
    throw new IsochipError(
      'encoding-unknown',
      `range ${JSON.stringify(range)} is not known, expected full or narrow`,
    )
  }
  const whole = {
    transfer,
    primaries: primaries ?? (typeof transfer === 'string' ? ownPrimaries[transfer] : 'bt709'),
    range,
  }
  return { spec: whole, primaries: resolvePrimaries(whole.primaries), range }
}

/** Nominal code values → linear light in the encoding's own primaries. */
export function decodeRgb(encoding: Encoding, code: Vec3): Vec3 {
  const transfer = resolveTransfer(encoding.spec.transfer)
  return [transfer.decode(code[0], 0), transfer.decode(code[1], 1), transfer.decode(code[2], 2)]
}

/** Linear light in the encoding's own primaries → nominal code values. */
export function encodeRgb(encoding: Encoding, light: Vec3): Vec3 {
  const transfer = resolveTransfer(encoding.spec.transfer)
  return [transfer.encode(light[0], 0), transfer.encode(light[1], 1), transfer.encode(light[2], 2)]
}
