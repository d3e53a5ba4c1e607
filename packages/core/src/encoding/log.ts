import { exp } from '../elementary/exp.ts'
import { ln } from '../elementary/ln.ts'
import { IsochipError } from '../errors.ts'
import type { logParameters } from '../shape/encoding.ts'
import type { Shape } from '../shape/shape.ts'
import type { Transfer } from './transfer.ts'

/**
 * A camera's log curve by its numbers: the parameters of the `Log` node of the Common LUT Format (SMPTE ST 2136-1,
 * Academy S-2014-006, styles cameraLinToLog and cameraLogToLin). Without `linSideBreak` the curve has no straight
 * toe; without `linearSlope` the toe continues the log piece's slope at the break.
 */
export interface LogParameters extends Shape<typeof logParameters> {}

const parameterNames: readonly string[] = [
  'base',
  'logSideSlope',
  'logSideOffset',
  'linSideSlope',
  'linSideOffset',
  'linSideBreak',
  'linearSlope',
] satisfies (keyof LogParameters)[]

/**
 * Code = logSideSlope · log_base(linSideSlope · x + linSideOffset) + logSideOffset above the break,
 * linearSlope · x + linearOffset below it, where linearOffset joins the two at the break.
 *
 * @throws IsochipError `encoding-unknown` when a parameter is not finite, or the curve would not rise.
 */
export function log(parameters: LogParameters): Transfer {
  const stranger = Object.keys(parameters).find((name) => !parameterNames.includes(name))
  if (stranger !== undefined) {
    throw new IsochipError('encoding-unknown', `there is no log parameter ${stranger}`, {
      hint: `there are ${parameterNames.join(', ')}`,
    })
  }
  const p = { base: 2, logSideSlope: 1, logSideOffset: 0, linSideSlope: 1, linSideOffset: 0, ...parameters }
  for (const [name, value] of Object.entries(p)) {
    if (typeof value !== 'number' || !Number.isFinite(value)) {
      throw new IsochipError(
        'encoding-unknown',
        `log parameter ${name} is ${String(value)}, expected a finite number`,
      )
    }
  }
  if (p.base <= 0 || p.base === 1) {
    throw new IsochipError(
      'encoding-unknown',
      `log base is ${p.base}, expected a positive number other than 1`,
    )
  }
  const scale = p.logSideSlope / ln(p.base)
  if (!(scale * p.linSideSlope > 0)) {
    throw new IsochipError(
      'encoding-unknown',
      'the log curve falls: logSideSlope × linSideSlope must be positive',
      {
        hint: 'give the slopes as in a cameraLinToLog node: both positive for a base above 1',
      },
    )
  }
  // A pure log has no code value for light at or below its pole; it stops at the smallest normal float, as the
  // standard's lin-to-log styles do.
  const smallest = 2 ** -126
  const curve = (light: number) =>
    scale * ln(Math.max(p.linSideSlope * light + p.linSideOffset, smallest)) + p.logSideOffset
  const inverse = (code: number) => (exp((code - p.logSideOffset) / scale) - p.linSideOffset) / p.linSideSlope

  if (p.linSideBreak === undefined) return { channelsAlike: true, encode: curve, decode: inverse }
  const lightBreak = p.linSideBreak
  const argument = p.linSideSlope * lightBreak + p.linSideOffset
  if (!(argument > 0)) {
    throw new IsochipError(
      'encoding-unknown',
      `at linSideBreak the logarithm is taken of ${argument}, expected a positive number`,
    )
  }
  const linearSlope = p.linearSlope ?? (scale * p.linSideSlope) / argument
  if (!(linearSlope > 0)) {
    throw new IsochipError('encoding-unknown', `linearSlope is ${linearSlope}, expected a positive number`)
  }
  const codeBreak = curve(lightBreak)
  const linearOffset = codeBreak - linearSlope * lightBreak
  return {
    channelsAlike: true,
    encode: (light) => (light <= lightBreak ? linearSlope * light + linearOffset : curve(light)),
    decode: (code) => (code <= codeBreak ? (code - linearOffset) / linearSlope : inverse(code)),
  }
}
