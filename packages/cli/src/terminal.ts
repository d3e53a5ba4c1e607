/** Where a command prints, and what it may print there. */
export interface Terminal {
  /** Results. */
  out(text: string): void
  /** Progress, warnings, errors. */
  err(text: string): void
  /** May results be coloured: a terminal, and nobody asked for none. */
  readonly colour: boolean
  /** May errors be coloured. */
  readonly errColour: boolean
  /** Does a person look at what goes to `err`, so that a line may be drawn again and again? */
  readonly live: boolean
  /** Columns. */
  readonly width: number
}

/** The terminal of this process. Colour only on a terminal, and not where `NO_COLOR` is set (no-color.org). */
export function processTerminal({
  stdout,
  stderr,
  env,
}: Pick<NodeJS.Process, 'stdout' | 'stderr' | 'env'> = process): Terminal {
  const dumb = env.TERM === 'dumb'
  const plain = (env.NO_COLOR ?? '') !== '' || dumb
  return {
    out: (text) => void stdout.write(text),
    err: (text) => void stderr.write(text),
    colour: stdout.isTTY === true && !plain,
    errColour: stderr.isTTY === true && !plain,
    live: stderr.isTTY === true && !dumb,
    width: Math.min(Math.max(stdout.columns ?? 80, 60), 120),
  }
}
