import { isIsochipError } from '@isochip/core'
import { limits } from './limits.ts'

/** What is wrong with an error that an input ended in; `undefined` where it is told as it should be. */
export function errorFault(error: unknown): string | undefined {
  if (!isIsochipError(error)) {
    const stack = error instanceof Error ? (error.stack ?? String(error)) : String(error)
    return `no error of isochip: ${stack.slice(0, 1500)}`
  }
  return wordsFault('message', error.message) ?? wordsFault('hint', error.hint ?? '')
}

function wordsFault(what: string, text: string): string | undefined {
  const lines = text.split('\n')
  const longest = Math.max(...lines.map((line) => line.length))
  if (longest > limits.messageLine)
    return `a ${what} with a line of ${longest} characters: ${text.slice(0, 300)}`
  if (lines.length > limits.messageLines) return `a ${what} of ${lines.length} lines: ${text.slice(0, 300)}`
  if (hasControls(text)) return `a ${what} with control characters: ${JSON.stringify(text.slice(0, 300))}`
  return undefined
}

/** What moves a cursor or turns the direction of writing makes of a message something else than it says. */
const hasControls = (text: string) => /[\p{Cc}\p{Bidi_Control}]/u.test(text.replaceAll('\n', ''))

/** What is wrong with a result: a number that is none, a caution that nobody can read. Walks plain data. */
export function resultFault(value: unknown, path = 'result', seen = new Set<object>()): string | undefined {
  if (typeof value === 'number') return Number.isNaN(value) ? `what was read has a NaN: ${path}` : undefined
  if (typeof value !== 'object' || value === null || seen.has(value)) return undefined
  seen.add(value)
  if (ArrayBuffer.isView(value)) {
    const at =
      value instanceof DataView ? -1 : [...(value as Float64Array)].findIndex((one) => Number.isNaN(one))
    return at < 0 ? undefined : `what was read has a NaN: ${path}[${at}]`
  }
  if ('code' in value && 'message' in value && typeof value.message === 'string') {
    const fault = wordsFault(`caution ${String(value.code)}`, value.message)
    if (fault !== undefined) return fault
  }
  const entries = value instanceof Map ? [...value] : Object.entries(value)
  for (const [key, inner] of entries) {
    const found = resultFault(inner, `${path}.${String(key)}`, seen)
    if (found !== undefined) return found
  }
  return undefined
}
