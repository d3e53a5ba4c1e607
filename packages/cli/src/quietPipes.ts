import { status } from './status.ts'

/**
 * Who reads what we print may have seen enough and go (`| head`): then nothing more is printed, the work is done, and
 * the exit status is its own. Any other fault of a stream (`> FILE` on a full disk) loses what was to be read: it is
 * told where that is still possible, and the exit status says it.
 */
export function quietPipes({ stdout, stderr }: Pick<NodeJS.Process, 'stdout' | 'stderr'>): void {
  let lost = false
  const lose = (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE' || lost) return
    lost = true
    const reason = error.code === 'ENOSPC' ? 'the disk is full' : error.message
    if (!stderr.destroyed) stderr.write(`error: what was to be printed is lost: ${reason}\n`)
    // Last of all: the work goes on, and has a status of its own.
    process.once('exit', () => {
      process.exitCode = status.input
    })
  }
  for (const stream of [stdout, stderr]) stream.on('error', lose)
}
