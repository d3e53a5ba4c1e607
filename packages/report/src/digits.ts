/**
 * How many digits a quantity is shown with: decided here and nowhere else, so that a figure reads the same in the
 * page, the table, the mail. A figure is rounded when it is shown, never before it is compared.
 */

const minus = '−'

function fixed(value: number, decimals: number): string {
  if (!Number.isFinite(value)) return '–'
  const text = Math.abs(value).toFixed(decimals)
  return value < 0 && Number(text) !== 0 ? minus + text : text
}

function signed(value: number, decimals: number): string {
  const text = fixed(value, decimals)
  return text.startsWith(minus) || text === '–' || Number(text) === 0 ? text : `+${text}`
}

/** A colour difference: two decimals. */
export const deltaEText = (value: number): string => fixed(value, 2)

/** Stops, signed: two decimals. */
export const stopsText = (value: number): string => signed(value, 2)

/** Stops without a sign: two decimals. */
export const stopsSizeText = (value: number): string => fixed(value, 2)

/** Weight of a patch in the fit: two decimals. */
export const weightText = (value: number): string => fixed(value, 2)

/** A level or share given as a fraction, in percent: one decimal. Without the sign of percent. */
export const percentText = (fraction: number): string => fixed(100 * fraction, 1)

/** The same with its sign. */
export const signedPercentText = (fraction: number): string => signed(100 * fraction, 1)

/** A share of a whole, in whole percent. */
export const shareText = (fraction: number): string => `${fixed(100 * fraction, 0)} %`

/** A gain, or a term of a matrix: three decimals. */
export const gainText = (value: number): string => fixed(value, 3)

/** A term of a matrix that is zero when nothing is done, signed: three decimals. */
export const termText = (value: number): string => signed(value, 3)

/** Linear light: four decimals. */
export const lightText = (value: number): string => fixed(value, 4)

/** A colour difference signal, signed: three decimals. */
export const chromaText = (value: number): string => signed(value, 3)

/** Mired: whole. */
export const miredText = (value: number): string => fixed(value, 0)

/** Thousandths of Duv, as the size of a Duv: four decimals. */
export const duvText = (thousandths: number): string => fixed(Math.abs(thousandths) / 1000, 4)

/** Degrees, signed: one decimal. */
export const degreesText = (value: number): string => signed(value, 1)

/** An angle without a sign, degrees: two decimals. */
export const anglesText = (value: number): string => fixed(value, 2)

/** A metamerism index: one decimal. */
export const indexText = (value: number): string => fixed(value, 1)

/** A condition number: three significant digits. */
export const conditionText = (value: number): string =>
  Number.isFinite(value) ? String(Number(value.toPrecision(3))) : '–'

/** For files that scripts read: seven significant digits, more than any reading carries; null if there is none. */
export function figure(value: number): number | null {
  return Number.isFinite(value) ? Number(value.toPrecision(7)) + 0 : null
}

/** A coordinate in a picture: a tenth of its unit, which is less than one sees. */
export const coordinate = (value: number): string => String(Math.round(value * 10) / 10 + 0)
