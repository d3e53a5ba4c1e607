import type { ShowEvent } from '@isochip/show/node'
import type { Terminal } from './terminal.ts'

/** One line that says how far a show is and how long it will still take; on a terminal only. */
export class Progress {
  readonly #terminal: Terminal
  readonly #now: () => number
  #start = 0
  #drawn = false

  constructor(terminal: Terminal, now: () => number = () => performance.now()) {
    this.#terminal = terminal
    this.#now = now
  }

  on(event: ShowEvent): void {
    switch (event.type) {
      case 'started':
        this.#start = this.#now()
        this.#draw(0, event.shots, `reading ${event.shots} charts`)
        break
      case 'shot-read':
        this.#draw(event.done, event.shots, `${event.setup}, ${event.camera}`)
        break
      case 'shot-failed':
        this.#draw(event.done, event.shots, 'could not be read')
        break
      default:
    }
  }

  end(): void {
    this.#clear()
  }

  #draw(done: number, all: number, what: string): void {
    if (!this.#terminal.live || all === 0) return
    const width = 24
    const filled = Math.round((width * done) / all)
    const bar = `${'━'.repeat(filled)}${'·'.repeat(width - filled)}`
    const line = `${bar} ${done}/${all}${this.#left(done, all)}  ${what}`
    this.#terminal.err(
      `\r\u001b[K${Array.from(line)
        .slice(0, this.#terminal.width - 1)
        .join('')}`,
    )
    this.#drawn = true
  }

  #left(done: number, all: number): string {
    if (done === 0 || done === all) return ''
    const seconds = ((this.#now() - this.#start) / 1000 / done) * (all - done)
    if (seconds < 2) return ''
    return seconds < 90 ? `, ${Math.round(seconds)} s left` : `, ${Math.round(seconds / 60)} min left`
  }

  #clear(): void {
    if (this.#drawn) this.#terminal.err('\r\u001b[K')
    this.#drawn = false
  }
}
