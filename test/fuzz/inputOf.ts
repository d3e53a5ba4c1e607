import { Draw } from './mutate/draw.ts'
import { mutate } from './mutate/mutate.ts'
import type { Target } from './target.ts'

/** Input number `index` of a seed: the same whenever it is asked for. */
export async function inputOf(
  target: Target,
  seed: number,
  index: number,
  within: string,
): Promise<Uint8Array> {
  const draw = new Draw((Math.imul(seed, 0x9e3779b1) ^ Math.imul(index + 1, 0x85ebca77)) | 0)
  return mutate(target, await samplesOf(target, within), draw)
}

const made = new WeakMap<Target, Promise<readonly Uint8Array[]>>()

/** Made once a process: some are rendered, or made by other programs. */
function samplesOf(target: Target, within: string): Promise<readonly Uint8Array[]> {
  const before = made.get(target)
  if (before !== undefined) return before
  const samples = target.samples(within)
  made.set(target, samples)
  return samples
}
