import type { ShowEvent } from '@isochip/show/node'
import type { Terminal } from './terminal.ts'

/** One line that says how far a show is and how long it will still take; on a terminal only. */
export class Progress {
  readonly #terminal: Terminal
  readonly #now: () => number
  #start = 0
  #drawn = false
  /** Charts to be read and matches to be made, what of it is done, and what of that was not there before. */
  #all = 0
  #done = 0
  #fresh = 0

  constructor(terminal: Terminal, now: () => number = () => performance.now()) {
    this.#terminal = terminal
    this.#now = now
  }

  on(event: ShowEvent): void {
    switch (event.type) {
      case 'started':
        this.#start = this.#now()
        this.#all = event.shots + event.matches
        this.#draw(`reading ${event.shots} charts`)
        break
      case 'shot-read':
        this.#step(event.cached, `read ${event.setup}, ${event.camera}`)
        break
      case 'shot-failed':
        // What cannot be read is not matched either.
        this.#all--
        this.#step(false, 'could not be read')
        break
      case 'match-finished':
        this.#step(event.cached, `matched ${event.setup}, ${event.camera}`)
        break
      default:
    }
  }

  end(): void {
    if (this.#drawn) this.#terminal.err('\r\u001b[K')
    this.#drawn = false
  }

  /** A line of its own, above the one that is drawn anew. */
  say(line: string): void {
    this.end()
    this.#terminal.err(`${line}\n`)
  }

  #step(cached: boolean, what: string): void {
    this.#done++
    if (!cached) this.#fresh++
    this.#draw(what)
  }

  #draw(what: string): void {
    if (!this.#terminal.live || this.#all === 0) return
    const width = 24
    const share = this.#done / this.#all
    const filled = Math.round(width * share)
    const bar = `${'━'.repeat(filled)}${'·'.repeat(width - filled)}`
    const line = `${bar} ${String(Math.floor(100 * share)).padStart(3)} %${this.#left()}  ${what}`
    this.#terminal.err(
      `\r\u001b[K${Array.from(line)
        .slice(0, this.#terminal.width - 1)
        .join('')}`,
    )
    this.#drawn = true
  }

  /** By what was done in this run; what was kept from an earlier one takes no time. */
  #left(): string {
    const rest = this.#all - this.#done
    if (this.#fresh === 0 || rest === 0) return ''
    const seconds = ((this.#now() - this.#start) / 1000 / this.#fresh) * rest
    if (seconds < 2) return ''
    return seconds < 90 ? `, ${Math.round(seconds)} s left` : `, ${Math.round(seconds / 60)} min left`
  }
}
