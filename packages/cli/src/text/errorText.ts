import { given, type IsochipError, isIsochipError, placeText, type Warning } from '@isochip/core'
import type { Terminal } from '../terminal.ts'

const red = (text: string, colour: boolean) => (colour ? `\u001b[31m${text}\u001b[39m` : text)
const yellow = (text: string, colour: boolean) => (colour ? `\u001b[33m${text}\u001b[39m` : text)

/**
 * An error as lines: what, where, and what to do about it.
 *
 * ```
 * error: show.yaml:4:19: the target camera "wdie" is none of the show’s cameras
 *   hint: did you mean wide?
 * ```
 */
export function errorText(
  error: IsochipError,
  terminal: Pick<Terminal, 'errColour'>,
  flags: readonly string[] = [],
): string {
  const place = placeText(error.place)
  const where =
    place === '' || [place, `cannot write ${place}`].some((start) => error.message.startsWith(start))
      ? ''
      : `${place}: `
  const told = [error.hint, flags.length === 0 ? undefined : `(${flags.join(', ')})`]
  const words = told.filter((one) => one !== undefined).join(' ')
  const hint = words === '' ? '' : `  hint: ${words}\n`
  return `${red('error:', terminal.errColour)} ${where}${error.message}\n${hint}`
}

export function warningText(warning: Warning, terminal: Pick<Terminal, 'errColour'>): string {
  const place = warning.place === undefined ? '' : placeText(warning.place)
  return `${yellow('caution:', terminal.errColour)} ${place === '' ? '' : `${place}: `}${warning.message}\n`
}

/** A fault of our own: everything that helps to find it. */
export function bugText(cause: unknown, terminal: Pick<Terminal, 'errColour'>): string {
  const trace = cause instanceof Error ? (cause.stack ?? cause.message) : String(cause)
  return (
    `${red('error:', terminal.errColour)} internal error of isochip, not a fault of your input; please report it ` +
    `with these lines:\n${trace}\n`
  )
}

/** An error as JSON, for `--json`. */
export function errorJson(cause: unknown): string {
  const error = isIsochipError(cause)
    ? {
        code: cause.code,
        message: cause.message,
        ...given({ hint: cause.hint }),
        place: cause.place,
      }
    : { code: 'internal', message: cause instanceof Error ? cause.message : String(cause), place: {} }
  return `${JSON.stringify({ isochip: 'error/1', error }, null, 2)}\n`
}
