import { cos } from '../elementary/cos.ts'
import { sin } from '../elementary/sin.ts'
/**
 * Quantile of Student's t: bisection on the finite series of M. Abramowitz, I. A. Stegun, Handbook of Mathematical
 * Functions, 26.7.3 and 26.7.4; between whole degrees of freedom ν, linear in 1/ν (as tables are read, 26.7 notes).
 *
 * @param probability above 0.5, below 1. @param freedom degrees of freedom, 1 or more.
 */
export function studentQuantile(probability: number, freedom: number): number {
  const below = Math.floor(freedom)
  if (below === freedom) return wholeQuantile(probability, freedom)
  const t = (1 / below - 1 / freedom) / (1 / below - 1 / (below + 1))
  return (1 - t) * wholeQuantile(probability, below) + t * wholeQuantile(probability, below + 1)
}

function wholeQuantile(probability: number, freedom: number): number {
  const wanted = 2 * probability - 1
  // In the angle atan(t / √ν) the quantile lies in a finite interval.
  let low = 0
  let high = Math.PI / 2
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (withinAngle(middle, freedom) < wanted) low = middle
    else high = middle
  }
  const angle = (low + high) / 2
  return (sin(angle) / cos(angle)) * Math.sqrt(freedom)
}

/** Probability of |T| < tan(angle)·√ν. */
function withinAngle(angle: number, freedom: number): number {
  const cosine = cos(angle)
  const odd = freedom % 2 === 1
  if (freedom === 1) return (2 * angle) / Math.PI
  let term = odd ? cosine : 1
  let sum = term
  for (let k = odd ? 3 : 2; k <= freedom - 2; k += 2) {
    term *= ((k - 1) / k) * cosine * cosine
    sum += term
  }
  return odd ? (2 / Math.PI) * (angle + sin(angle) * sum) : sin(angle) * sum
}
