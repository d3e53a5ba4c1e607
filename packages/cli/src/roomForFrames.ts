import { setFlagsFromString } from 'node:v8'

/**
 * Lets V8 keep a few decoded frames before it looks for memory that nobody uses any more. It takes the pixels of a frame
 * for the growth of a heap that is small otherwise, so it would go through all of it at every frame, and what it throws
 * away with that is compiled code: of a whole show that was a fifth of the time (docs/decisions/0013).
 *
 * An option of the whole process, its threads included: for the command's own, not for a library's. Whoever embeds
 * `matchShow` starts node with `--heap-growing-percent=400` to the same effect.
 */
export function roomForFrames(): void {
  setFlagsFromString('--heap-growing-percent=400')
}
