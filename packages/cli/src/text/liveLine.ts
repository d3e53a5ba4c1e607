import type { Terminal } from '../terminal.ts'

/** One line that is drawn anew as work goes on, as wide as the terminal at most; only where a person looks. */
export function liveLine(terminal: Terminal) {
  let drawn = false
  return {
    draw: (line: string) => {
      if (!terminal.live) return
      terminal.err(
        `\r\u001b[K${Array.from(line)
          .slice(0, terminal.width - 1)
          .join('')}`,
      )
      drawn = true
    },
    end: () => {
      if (drawn) terminal.err('\r\u001b[K')
      drawn = false
    },
  }
}
