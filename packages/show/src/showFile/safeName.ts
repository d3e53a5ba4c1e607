/** Names of devices under Windows: no file there may be called so, whatever its ending. */
const reserved = /^(con|prn|aux|nul|com\d|lpt\d)(\..*)?$/i
/** What `match` writes into the output folder itself. */
const taken = /^(residuals\.csv|report\.json|report\.html|checksums\.sha256|config\.(ocio|light\.clf))$/i

/**
 * Why a camera id or a setup name cannot be part of a file name, or `undefined` if it can. Both become folder and
 * file names under the output folder, so they must be a plain name everywhere: no separators, nothing hidden, no way
 * up and out.
 */
export function nameFault(name: string): string | undefined {
  if (name.length === 0) return 'is empty'
  if (name.length > 64) return `has ${name.length} characters, at most 64 are possible`
  if (!/^[\p{L}\p{N}][\p{L}\p{M}\p{N} ._-]*$/u.test(name))
    return 'becomes a file name: use letters, digits, space, dot, dash and underscore, and begin with a letter or digit'
  if (/[ .]$/.test(name)) return 'becomes a file name: it cannot end with a space or a dot'
  if (reserved.test(name))
    return 'is the name of a device on some computers, and no file can be called so there'
  if (taken.test(name)) return 'is the name of a file that isochip writes'
  return undefined
}
