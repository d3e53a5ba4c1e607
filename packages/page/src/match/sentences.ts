import type { Failure } from './messages.ts'

const whole = (text: string) => (/[.!?]$/.test(text) ? text : `${text}.`)

const begun = (text: string) => text.charAt(0).toUpperCase() + text.slice(1)

/** Words that stand alone, as a sentence. */
export const sentence = (text: string): string => whole(begun(text))

/** A failure and what to do about it, as sentences. */
export const sentences = ({ message, hint }: Failure): string =>
  hint === undefined ? whole(message) : `${whole(message)} ${sentence(hint)}`
