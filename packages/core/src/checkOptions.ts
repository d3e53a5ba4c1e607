import { IsochipError } from './errors.ts'

/** Refuses a value that an option cannot have. @throws IsochipError `usage` */
export type OptionCheck = (value: unknown, option: string) => void

/** One check for every option of `T`: none can be forgotten, and there are no others. */
export type OptionChecks<T> = { readonly [K in keyof T]-?: OptionCheck }

/**
 * Callers in plain JavaScript have no compiler to tell them: an option that there is not, or a value that it cannot
 * have, is a fault. Neither is passed over, nor does it count as the option's last branch.
 *
 * @param options an option that is `undefined` counts as not given
 * @param within the option that these are options of
 * @throws IsochipError `usage`
 */
export function checkOptions<T extends object>(options: T, checks: OptionChecks<T>, within = ''): void {
  if (!isObject(options)) refuse(within === '' ? 'options' : within, options, 'an object')
  for (const [name, value] of Object.entries(options)) {
    const option = within === '' ? name : `${within}.${name}`
    const known = Object.keys(checks)
    if (!known.includes(name)) {
      throw new IsochipError('usage', `there is no option ${option}`, {
        hint: known.length === 0 ? 'leave it out' : `the options are ${known.join(', ')}`,
      })
    }
    if (value !== undefined) checks[name as keyof T](value, option)
  }
}

/** One of these words. */
export const oneOf = (words: readonly string[]): OptionCheck =>
  checked((value) => words.some((word) => word === value), `one of ${words.join(', ')}`)

/** True or false. */
export const flag: OptionCheck = checked((value) => typeof value === 'boolean', 'true or false')

/** A finite number from `low` to `high`, both included. */
export const numberFrom = (low: number, high = Number.POSITIVE_INFINITY): OptionCheck =>
  checked(
    (value) => isNumber(value) && value >= low && value <= high,
    high === Number.POSITIVE_INFINITY ? `a number of ${low} or more` : `a number from ${low} to ${high}`,
  )

/** A whole number of `low` or more. */
export const integerFrom = (low: number): OptionCheck =>
  checked(
    (value) => Number.isSafeInteger(value) && (value as number) >= low,
    `a whole number of ${low} or more`,
  )

/** Options within an option. */
export const group =
  <T extends object>(checks: OptionChecks<T>): OptionCheck =>
  (value, option) =>
    checkOptions(value as T, checks, option)

/** An object under any names, each value checked. */
export const byName =
  (check: OptionCheck): OptionCheck =>
  (value, option) => {
    if (!isObject(value)) refuse(option, value, 'an object')
    for (const [name, each] of Object.entries(value)) check(each, `${option}.${name}`)
  }

/** A list, each value checked; of this length, where one is given. */
export const listOf =
  (check: OptionCheck, length?: number): OptionCheck =>
  (value, option) => {
    if (!Array.isArray(value) || (length !== undefined && value.length !== length))
      refuse(option, value, length === undefined ? 'a list' : `a list of ${length}`)
    for (const [i, each] of value.entries()) check(each, `${option}[${i}]`)
  }

/** Any finite number. */
export const anyNumber: OptionCheck = checked(isNumber, 'a finite number')

function checked(accepts: (value: unknown) => boolean, expected: string): OptionCheck {
  return (value, option) => {
    if (!accepts(value)) refuse(option, value, expected)
  }
}

function isNumber(value: unknown): value is number {
  return typeof value === 'number' && Number.isFinite(value)
}

function isObject(value: unknown): value is object {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

function refuse(option: string, value: unknown, expected: string): never {
  const found = typeof value === 'number' ? String(value) : (JSON.stringify(value) ?? String(value))
  throw new IsochipError('usage', `the option ${option} is ${found}, expected ${expected}`)
}
