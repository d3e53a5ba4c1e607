import { exp2, ln, log2, log10, pow } from '@isochip/core'
import type { ExponentNode, ExponentParameters, LogNode, LogNodeParameters } from './processList.ts'

/** The smallest normal single-precision number: logarithms are not taken of less (S-2014-006, Log). */
const smallest = 2 ** -126

/** The curve of one channel of an Exponent node. */
export function exponentCurve(
  style: ExponentNode['style'],
  parameters: ExponentParameters | undefined,
): (x: number) => number {
  if (parameters === undefined) return (x) => x
  const { exponent, offset = 0 } = parameters
  const power = style.endsWith('Rev') ? 1 / exponent : exponent
  switch (style) {
    case 'basicFwd':
    case 'basicRev':
      return (x) => pow(Math.max(x, 0), power)
    case 'basicMirrorFwd':
    case 'basicMirrorRev':
      return mirrored((x) => pow(x, power))
    case 'basicPassThruFwd':
    case 'basicPassThruRev':
      return (x) => (x < 0 ? x : pow(x, power))
    case 'monCurveFwd':
      return monCurve(exponent, offset)
    case 'monCurveRev':
      return monCurveInverse(exponent, offset)
    case 'monCurveMirrorFwd':
      return mirrored(monCurve(exponent, offset))
    case 'monCurveMirrorRev':
      return mirrored(monCurveInverse(exponent, offset))
  }
}

function mirrored(f: (x: number) => number): (x: number) => number {
  return (x) => (x < 0 ? -f(-x) : f(x))
}

/**
 * Break and slope of the straight toe: where it meets the power piece in value and slope. An exponent of 1 or an
 * offset of 0 has no such toe; the limits are a straight line and a bare power.
 */
function toe(exponent: number, offset: number): { from: number; slope: number } {
  if (exponent === 1) return { from: 0, slope: 1 }
  if (offset === 0) return { from: 0, slope: 0 }
  const over = exponent - 1
  return {
    from: offset / over,
    slope: (over / offset) * pow((offset * exponent) / (over * (1 + offset)), exponent),
  }
}

function monCurve(exponent: number, offset: number): (x: number) => number {
  const { from, slope } = toe(exponent, offset)
  return (x) => (x < from ? x * slope : pow((x + offset) / (1 + offset), exponent))
}

function monCurveInverse(exponent: number, offset: number): (x: number) => number {
  const { from, slope } = toe(exponent, offset)
  const level = from * slope
  return (y) => {
    if (y >= level) return (1 + offset) * pow(y, 1 / exponent) - offset
    return slope === 0 ? 0 : y / slope
  }
}

/** The curve of one channel of a Log node. */
export function logCurve(
  style: LogNode['style'],
  parameters: LogNodeParameters | undefined,
): (x: number) => number {
  switch (style) {
    case 'log10':
      return (x) => log10(Math.max(x, smallest))
    case 'antiLog10':
      return (x) => pow(10, x)
    case 'log2':
      return (x) => log2(Math.max(x, smallest))
    case 'antiLog2':
      return (x) => exp2(x)
  }
  if (parameters === undefined) return (x) => x
  const p = parameters
  const scale = p.logSideSlope / ln(p.base)
  const toLog = (x: number) =>
    scale * ln(Math.max(p.linSideSlope * x + p.linSideOffset, smallest)) + p.logSideOffset
  const toLin = (y: number) =>
    (pow(p.base, (y - p.logSideOffset) / p.logSideSlope) - p.linSideOffset) / p.linSideSlope
  if (style === 'linToLog') return toLog
  if (style === 'logToLin') return toLin
  const { linSideBreak = 0 } = p
  const slope = p.linearSlope ?? (scale * p.linSideSlope) / (p.linSideSlope * linSideBreak + p.linSideOffset)
  const logBreak = toLog(linSideBreak)
  const shift = logBreak - slope * linSideBreak
  if (style === 'cameraLinToLog') return (x) => (x <= linSideBreak ? slope * x + shift : toLog(x))
  return (y) => (y <= logBreak ? (y - shift) / slope : toLin(y))
}
