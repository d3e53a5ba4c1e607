import { IsochipError, isIsochipError } from '@isochip/core'

const reasons: Record<string, readonly [reason: string, hint: string]> = {
  ENOSPC: ['the disk is full', 'make room, or give another folder; what was there before is untouched'],
  EDQUOT: ['the quota is used up', 'make room, or give another folder; what was there before is untouched'],
  EROFS: ['the disk is read-only', 'give another folder'],
  EACCES: ['writing is not permitted', 'check the permissions, or give another folder'],
  EPERM: ['writing is not permitted', 'check the permissions, or give another folder'],
  ENOTDIR: ['a file stands where a folder is needed', 'give another folder'],
  EEXIST: ['a file stands where a folder is needed', 'give another folder'],
  EISDIR: ['a folder stands where the file is to go', 'move it away, or give another folder'],
  ENAMETOOLONG: ['the path is too long', 'give a folder with a shorter path'],
}

/** One clear error for whatever the system says when something cannot be written. */
export function writeFault(path: string, cause: unknown): IsochipError {
  if (isIsochipError(cause)) return cause
  const code = (cause as NodeJS.ErrnoException).code ?? ''
  const [reason, hint] = reasons[code] ?? [
    cause instanceof Error ? cause.message : String(cause),
    'give another folder',
  ]
  return new IsochipError('output-unwritable', `cannot write ${path}: ${reason}`, {
    hint,
    cause,
    place: { file: path },
  })
}
