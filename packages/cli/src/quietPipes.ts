/**
 * Who reads what we print may have seen enough and go (`| head`): then nothing more is printed, the work is done, and
 * the exit status is its own. Any other fault of a stream is one.
 */
export function quietPipes(streams: readonly NodeJS.WriteStream[]): void {
  for (const stream of streams)
    stream.on('error', (error: NodeJS.ErrnoException) => {
      if (error.code !== 'EPIPE') throw error
    })
}
