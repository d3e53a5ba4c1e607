/** The keywords of the Cube LUT Specification 1.0, and the two ranges that go with a leading 1D LUT. */
export const cubeKeywords = {
  TITLE: { kind: 'title' },
  DOMAIN_MIN: { kind: 'vector' },
  DOMAIN_MAX: { kind: 'vector' },
  LUT_1D_SIZE: { kind: 'size' },
  LUT_3D_SIZE: { kind: 'size' },
  LUT_1D_INPUT_RANGE: { kind: 'range' },
  LUT_3D_INPUT_RANGE: { kind: 'range' },
} as const satisfies Record<string, { kind: 'title' | 'vector' | 'size' | 'range' }>

export type CubeKeyword = keyof typeof cubeKeywords

/** What to do about a keyword that is none of them. */
export function keywordHints(word: string): string {
  if (Object.hasOwn(cubeKeywords, word.toUpperCase())) return 'keywords are written in capitals'
  if (/^LUT_(IN|OUT)_VIDEO_RANGE$/.test(word)) {
    return (
      'this line says that codes are narrow range, which changes every value; ' +
      'take it out and declare the range where the LUT is used'
    )
  }
  return 'a keyword may change what the numbers mean, so none is passed over: take it out if it does not'
}
