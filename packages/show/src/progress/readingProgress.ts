import { type IsochipError, isIsochipError } from '@isochip/core'
import type { ShotReadings } from '../read/readShot.ts'
import type { ShowEvent } from './showEvent.ts'

/** Counts the shots of a show as they are read, and tells of each. */
export class ReadingProgress {
  /** Of those that were read, how many were read in an earlier run. */
  kept = 0
  #done = 0
  readonly #shots: number
  readonly #tell: (event: ShowEvent) => void

  constructor(shots: number, tell: (event: ShowEvent) => void) {
    this.#shots = shots
    this.#tell = tell
  }

  /** A shot of a setup was read, or could not be. */
  ended(setup: string, result: ShotReadings | IsochipError): void {
    this.#done++
    const counted = { done: this.#done, shots: this.#shots }
    if (isIsochipError(result)) {
      this.#tell({ type: 'shot-failed', error: result, ...counted })
      return
    }
    const { camera, cached } = result
    if (cached) this.kept++
    this.#tell({ type: 'shot-read', camera, setup, cached, ...counted })
  }
}
