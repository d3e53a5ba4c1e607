import { eachError } from './eachError.ts'
import type { Reflectances } from './expectReadings.ts'
import { relativeReadings } from './relativeReadings.ts'

/** Veiling glare lies on one side of the chart more than on the other: by about so much, level 1, from the middle to an edge. */
const glareVariance = 0.02 ** 2
/** Light, as a share of the brightest reading, below which a toe bends. */
const bendsBelow = 0.05

/**
 * A toe, that is a curve which is too low or too high near black, is to the match nearly a lift. To the prior it is not: it
 * knows what dark patches and the dark channels of saturated ones read beside the others, whatever the pedestal. In light x,
 * with white at 1, a toe of either kind is a factor, a pedestal, and b·k/(x + k), the same b in all three channels.
 *
 * @param places of the patches on the chart, −1…1 across and down.
 * @returns how much more probable the readings are with a toe, as a logarithm, both with the errors that suit them best. Above 0
 * where dark tones are crushed, x²·(1 + k)/(x + k), which has b > 0; below 0 where they are lifted, √(x² + k·x).
 */
export function toeOf(
  light: Float64Array,
  standardError: Float64Array,
  weight: Float64Array,
  reflectances: Reflectances,
  covariance: Float64Array,
  places: readonly (readonly [number, number])[],
): number {
  const { channels, ...known } = relativeReadings(light, standardError, weight, reflectances)
  const { n } = known
  const veiled = covariance.map((value, i) => {
    const [one, other] = [places[Math.floor(i / n)]!, places[i % n]!]
    return value + glareVariance * (one[0] * other[0] + one[1] * other[1])
  })
  const bends = channels.map((x) => {
    const top = x.reduce((most, value) => Math.max(most, value), 1e-9)
    return x.map((value) => (top * bendsBelow) / (Math.max(value / top, 0) + bendsBelow))
  })
  let [straight, bent, sign] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY, 0]
  eachError(
    { ...known, covariance: veiled, rows: [...channels, ...bends] },
    (_misfit, _noise, likelihood, rows) => {
      let along = 0
      let size = 0
      for (let i = 0; i < 3 * n; i++) {
        const bend = rows[3 * n + i]!
        along += bend * rows[i]!
        size += bend * bend
      }
      straight = Math.max(straight, likelihood)
      const gained = likelihood + (along * along) / size / 2
      if (gained <= bent) return
      bent = gained
      sign = Math.sign(along)
    },
  )
  return sign * (bent - straight)
}
