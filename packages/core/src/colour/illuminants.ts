/** CIE chromaticity x, y. */
export type Xy = readonly [number, number]

/**
 * Chromaticities of CIE standard illuminants for the 2° observer, CIE 015:2018, table T.3 and following, to the
 * digits printed there; D65 to the four digits that the television standards use (BT.709-6, item 1.4), since every
 * primaries matrix is made with those. `D60` is the white of the ACES encodings, S-2008-001.
 */
export const illuminantWhites = {
  A: [0.44758, 0.40745],
  C: [0.31006, 0.31616],
  D50: [0.34567, 0.3585],
  D55: [0.33243, 0.34744],
  D60: [0.32168, 0.33767],
  D65: [0.3127, 0.329],
  D75: [0.29903, 0.31488],
  E: [1 / 3, 1 / 3],
} satisfies Record<string, Xy>

export type IlluminantName = keyof typeof illuminantWhites

export const illuminantNames = Object.keys(illuminantWhites) as IlluminantName[]

/** x, y → XYZ with Y = 1. */
export function xyzFromXy([x, y]: Xy): readonly [number, number, number] {
  return [x / y, 1, (1 - x - y) / y]
}
