/** Index of a channel: red, green, blue. */
export type Channel = 0 | 1 | 2

/**
 * A transfer characteristic: between nominal code values (0 = reference black, 1 = reference white or the top of
 * the range) and relative linear light (1.0 = a perfect diffuse white). Both ways are finite and increasing over
 * all that a picture can hold (code values −8…8); values outside 0…1 are carried through, by the curve's own toe or by
 * point symmetry.
 */
export interface Transfer {
  /** Code value → linear light. */
  decode(code: number, channel: Channel): number
  /** Linear light → code value. */
  encode(light: number, channel: Channel): number
  /** Is it the same curve for all channels, so that what is worked out for one holds for the others? Default: not known. */
  readonly channelsAlike?: true
}
