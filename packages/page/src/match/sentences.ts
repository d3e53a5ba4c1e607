import type { Failure } from './messages.ts'

const whole = (text: string) => (/[.!?]$/.test(text) ? text : `${text}.`)

/** A failure and what to do about it, as sentences. */
export const sentences = ({ message, hint }: Failure): string =>
  hint === undefined
    ? whole(message)
    : `${whole(message)} ${whole(hint.charAt(0).toUpperCase() + hint.slice(1))}`
