/** More of a text than this is no help in a message, which has to have an end. */
const most = 60

/** A text of the input as a message may have it: its beginning, where it is long. */
export const shortened = (text: string): string => (text.length > most ? `${text.slice(0, most)}…` : text)
