import stringWidth from 'string-width'

/** Letters and signs of our own words: one column each, and none joins with its neighbour. */
const plain = /^[ -~À-žΑ-ω°±·×–—’…−→]*$/

/** Columns that a text takes on a terminal. `string-width` looks at each character in turn, which few texts need. */
export const columns = (text: string): number => (plain.test(text) ? text.length : stringWidth(text))
