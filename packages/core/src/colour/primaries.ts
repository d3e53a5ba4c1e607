import { anyNumber, group, listOf } from '../checkOptions.ts'
import { IsochipError } from '../errors.ts'
import { apply3, diagonal3, identity3, inverse3, invert3, type Mat3, multiply3 } from '../linear/mat3.ts'
import type { chromaticities, primaries } from '../shape/encoding.ts'
import type { Shape } from '../shape/shape.ts'
import { adaptation, type Cat } from './adaptation.ts'
import { illuminantWhites, type Xy, xyzFromXy } from './illuminants.ts'
import { type PrimariesName, primariesNames } from './primariesNames.ts'

/** Chromaticities of three primaries and their white. */
export interface Primaries extends Shape<typeof chromaticities> {}

/** The primaries of published standards. */
const named = {
  /** ITU-R BT.709-6, item 1.3; also IEC 61966-2-1. */
  bt709: { red: [0.64, 0.33], green: [0.3, 0.6], blue: [0.15, 0.06], white: illuminantWhites.D65 },
  /** ITU-R BT.2020-2, table 3; also BT.2100. */
  bt2020: { red: [0.708, 0.292], green: [0.17, 0.797], blue: [0.131, 0.046], white: illuminantWhites.D65 },
  /** The primaries of SMPTE RP 431-2 with the white D65 (SMPTE EG 432-1). */
  'p3-d65': { red: [0.68, 0.32], green: [0.265, 0.69], blue: [0.15, 0.06], white: illuminantWhites.D65 },
  /** ACES AP0, SMPTE ST 2065-1 (Academy S-2008-001). */
  ap0: { red: [0.7347, 0.2653], green: [0, 1], blue: [0.0001, -0.077], white: illuminantWhites.D60 },
  /** ACES AP1, Academy S-2014-004. */
  ap1: { red: [0.713, 0.293], green: [0.165, 0.83], blue: [0.128, 0.044], white: illuminantWhites.D60 },
} satisfies Record<PrimariesName, Primaries>

/** Primaries as they stand in a show file: a name, or chromaticities. */
export type PrimariesSpec = Shape<typeof primaries>

const chromaticity = listOf(anyNumber, 2)

/** Chromaticities, as an option: names are resolved first. */
export const primariesCheck = group<Primaries>({
  red: chromaticity,
  green: chromaticity,
  blue: chromaticity,
  white: chromaticity,
})

/** @throws IsochipError `primaries-invalid` for an unknown name or chromaticities that span no triangle. */
export function resolvePrimaries(spec: PrimariesSpec): Primaries {
  if (typeof spec === 'string') {
    if (Object.hasOwn(named, spec)) return named[spec]
    throw new IsochipError('primaries-invalid', `primaries "${spec}" are not known`, {
      hint: `one of ${primariesNames.join(', ')}, or { red, green, blue, white } as CIE x, y`,
    })
  }
  rgbToXyz(spec)
  return spec
}

/**
 * Linear RGB → XYZ with Y = 1 for R = G = B = 1, after SMPTE RP 177-1993, section 3.3: the columns are the
 * primaries' XYZ, scaled so that their sum is the white.
 *
 * @throws IsochipError `primaries-invalid` when the primaries lie on a line, or the white has no luminance.
 */
export function rgbToXyz(primaries: Primaries): Mat3 {
  const { red, green, blue, white } = primaries
  const columns: Mat3 = [
    [red[0], green[0], blue[0]],
    [red[1], green[1], blue[1]],
    [1 - red[0] - red[1], 1 - green[0] - green[1], 1 - blue[0] - blue[1]],
  ]
  const inverse = invert3(columns)
  if (inverse === undefined || !(white[1] > 0)) {
    throw new IsochipError('primaries-invalid', 'the chromaticities span no triangle around a white', {
      hint: 'give x, y of red, green, blue and white as in the standard, such as red: [0.64, 0.33]',
    })
  }
  return multiply3(columns, diagonal3(apply3(inverse, xyzFromXy(white))))
}

/** XYZ → linear RGB: the inverse of `rgbToXyz`. */
export function xyzToRgb(primaries: Primaries): Mat3 {
  return inverse3(rgbToXyz(primaries))
}

/** By their numbers: a clone is the same, and what is made with it the same to the last digit. */
function samePrimaries(a: Primaries, b: Primaries): boolean {
  const same = (one: Xy, other: Xy) => one[0] === other[0] && one[1] === other[1]
  return same(a.red, b.red) && same(a.green, b.green) && same(a.blue, b.blue) && same(a.white, b.white)
}

/**
 * Linear RGB in one set of primaries → linear RGB in another. White goes to white (every row sums to 1): where the
 * whites differ, the colours are adapted, by default with the Bradford transform, as ACES does between D60 and D65.
 */
export function primariesConversion(from: Primaries, to: Primaries, cat: Cat = 'bradford'): Mat3 {
  if (samePrimaries(from, to)) return identity3
  return multiply3(xyzToRgb(to), multiply3(adaptation(from.white, to.white, cat), rgbToXyz(from)))
}
