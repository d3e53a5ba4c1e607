/** What a `.cube` file may be, in one place. */
export const cubeLimits = {
  /** Cube LUT Specification 1.0 (from memory): a line has at most 250 bytes. Longer ones are read with a warning… */
  lineBytes: 250,
  /** …up to this. */
  lineBytesRead: 4096,
  /** Comment bytes that are kept for the caller; a longer comment block is an error. */
  commentBytes: 1 << 20,
  /** A 256³ file of nine-digit numbers has 560 MB. */
  fileBytes: 1e9,
  /** The largest single-precision number, which is what readers hold the values in. */
  largest: 3.4028234663852886e38,
} as const
