/** First line of the comments of a LUT: by it isochip knows its own (`files/ownMark.ts`). */
export const lutMark = (version: string): string => `Written by isochip ${version}.`
