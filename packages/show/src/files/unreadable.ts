/**
 * Why a file could not be read, in words.
 *
 * @param cause what the system threw
 * @param expected what the file should be: "a LUT"
 */
export function unreadable(cause: unknown, expected: string): string {
  const { code, message } = cause as NodeJS.ErrnoException
  if (code === 'ENOENT') return 'there is no such file'
  if (code === 'EISDIR') return `this is a folder, expected ${expected}`
  return `the file cannot be read: ${message}`
}
