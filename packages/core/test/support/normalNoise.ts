import { seededRandom } from '../../src/random.ts'

/** Standard normal numbers (Box and Muller 1958), the same on every machine. */
export function normalNoise(seed: number): () => number {
  const random = seededRandom(seed)
  return () => Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random())
}
