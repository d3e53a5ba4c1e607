import { figure } from '../digits.ts'

function cell(value: string | number | undefined): string {
  if (value === undefined) return ''
  if (typeof value === 'number') return String(figure(value) ?? '')
  return /[",\r\n]/.test(value) ? `"${value.replaceAll('"', '""')}"` : value
}

/**
 * Rows as RFC 4180 has them: CRLF, quotes where needed. Numbers have seven significant digits; an empty cell is a
 * figure that does not exist. Names stand as they are: scripts join on them.
 */
export const csvText = (rows: readonly (readonly (string | number | undefined)[])[]): string =>
  rows.map((row) => `${row.map(cell).join(',')}\r\n`).join('')
