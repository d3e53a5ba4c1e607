/** Five columns a glyph, lowest bit on top, seven rows and one for descenders: letters that stay legible at 5 × 8 pixels. */
const columns: Record<string, string> = {
  '0': '3e5149453e',
  '1': '00427f4000',
  '2': '4261514946',
  '3': '2141454b31',
  '4': '1814127f10',
  '5': '2745454539',
  '6': '3c4a494930',
  '7': '0171090503',
  '8': '3649494936',
  '9': '064949291e',
  A: '7e1111117e',
  B: '7f49494936',
  C: '3e41414122',
  D: '7f4141221c',
  E: '7f49494941',
  F: '7f09090901',
  G: '3e4149497a',
  H: '7f0808087f',
  I: '00417f4100',
  J: '2040413f01',
  K: '7f08142241',
  L: '7f40404040',
  M: '7f020c027f',
  N: '7f0408107f',
  O: '3e4141413e',
  P: '7f09090906',
  Q: '3e4151215e',
  R: '7f09192946',
  S: '4649494931',
  T: '01017f0101',
  U: '3f4040403f',
  V: '1f2040201f',
  W: '3f4038403f',
  X: '6314081463',
  Y: '0708700807',
  Z: '6151494543',
  a: '2054545478',
  b: '7f48444438',
  c: '3844444420',
  d: '384444487f',
  e: '3854545418',
  f: '087e090102',
  g: '18a4a4a47c',
  h: '7f08040478',
  i: '00447d4000',
  j: '4080847d00',
  k: '7f10284400',
  l: '00417f4000',
  m: '7c04180478',
  n: '7c08040478',
  o: '3844444438',
  p: 'fc24242418',
  q: '18242418fc',
  r: '7c08040408',
  s: '4854545420',
  t: '043f444020',
  u: '3c4040207c',
  v: '1c2040201c',
  w: '3c4030403c',
  x: '4428102844',
  y: '1ca0a0a07c',
  z: '4464544c44',
  ' ': '0000000000',
  '.': '0060600000',
  ',': '0050300000',
  '-': '0808080808',
  '+': '08083e0808',
  '/': '2010080402',
  '%': '2313086462',
  '#': '147f147f14',
  '*': '14083e0814',
  _: '4040404040',
  "'": '0004030000',
  '(': '001c224100',
  ')': '0041221c00',
  ':': '0036360000',
  '?': '0201510906',
}

/** Latin letters that no decomposition takes apart, as they are commonly written without. */
const spelled: Record<string, string> = {
  ß: 'ss',
  æ: 'ae',
  œ: 'oe',
  ø: 'o',
  đ: 'd',
  ð: 'd',
  þ: 'th',
  ł: 'l',
  ħ: 'h',
  ı: 'i',
  Æ: 'AE',
  Œ: 'OE',
  Ø: 'O',
  Đ: 'D',
  Ð: 'D',
  Þ: 'Th',
  Ł: 'L',
  Ħ: 'H',
  '–': '-',
  '’': "'",
}

/**
 * A text in characters that have a glyph: accents go, ligatures come apart (Unicode compatibility decomposition), and
 * what has none even so shows as a question mark.
 */
export const drawable = (text: string): string =>
  [...text.normalize('NFKD').replace(/\p{M}/gu, '')]
    .map((character) => spelled[character] ?? character)
    .join('')
    .replace(/./gsu, (character) => (character in columns ? character : '?'))

/** Columns of a character that is `drawable`. */
export function glyph(character: string): readonly number[] {
  const hex = columns[character]!
  return [0, 2, 4, 6, 8].map((at) => Number.parseInt(hex.slice(at, at + 2), 16))
}

/** Width of a text in pixels at scale 1: five columns a character and one between. */
export const textWidth = (text: string): number => Math.max(0, 6 * drawable(text).length - 1)

/** Height of a text in pixels at scale 1. */
export const textHeight = 8
