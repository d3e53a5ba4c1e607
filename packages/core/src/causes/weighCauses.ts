import type { Cause, Evidence, State } from './evidence.ts'

/** The causes that residuals show, and how sure that is. */
export interface Weighed {
  readonly strengths: State
  /** How much more probable the residuals become by each cause, given all others that are there, as a logarithm. */
  readonly gains: ReadonlyMap<Cause, number>
  /** What was compared for the first cause beside spectra and outliers, with the gain of each. */
  readonly rivals: readonly { readonly cause: Cause; readonly gain: number }[]
  /** By outlier: the same gain for that sample alone, beside the other outliers. */
  readonly foreignGains: ReadonlyMap<number, number>
}

/** Strengths that are tried, weakest first. */
const strengths: Readonly<Record<Cause, readonly number[]>> = {
  spectral: [0.02, 0.05, 0.1, 0.2, 0.4, 0.8],
  curve: [0.03, 0.1, 0.3],
  unevenness: [0.03, 0.1, 0.3],
  clipping: [0.05, 0.3],
  foreign: [4, 15, 40],
  other: [0.15, 0.4, 1, 2.5],
}
/** Where to look first among them, for causes whose strengths cannot be tried all at once. */
const likely: Readonly<Partial<Record<Cause, number>>> = { spectral: 2, foreign: 1, other: 0 }
/** A cause that makes the residuals less than e⁴ times as probable has not shown itself. */
const shown = 4
/** Causes beside spectra and outliers that are looked for, at most. */
const mostCauses = 3

interface Scored {
  readonly state: State
  readonly value: number
}

/**
 * Spectra are always there; outliers where there are any. Then the cause that makes the residuals most probable is taken,
 * and the next, as long as one shows itself; what has become needless beside the others goes.
 */
export function weighCauses(evidence: Evidence, foreign: ReadonlySet<number>): Weighed {
  const withStrength = (state: State, cause: Cause, i: number): State =>
    new Map([...state, [cause, strengths[cause][i]!]])
  /** From one strength on, as long as the next one is better: along one strength there is one summit. */
  const climbed = (scored: Scored, cause: Cause, start: number): Scored => {
    const tried = strengths[cause]
    let top = scored
    for (const way of [-1, 1]) {
      for (let i = start + way; i >= 0 && i < tried.length; i += way) {
        const [value] = evidence.along(scored.state, cause, [tried[i]!])
        if (!(value! > top.value)) break
        top = { state: withStrength(scored.state, cause, i), value: value! }
      }
      if (top !== scored) break
    }
    return top
  }
  const best = (state: State, cause: Cause): Scored => {
    const start = likely[cause]
    if (start !== undefined) {
      const [value] = evidence.along(state, cause, [strengths[cause][start]!])
      return climbed({ state: withStrength(state, cause, start), value: value! }, cause, start)
    }
    let top: Scored = { state, value: Number.NEGATIVE_INFINITY }
    for (const [i, value] of evidence.along(state, cause, strengths[cause]).entries()) {
      if (value > top.value) top = { state: withStrength(state, cause, i), value }
    }
    return top
  }
  const adjusted = (scored: Scored, cause: Cause): Scored =>
    climbed(scored, cause, strengths[cause].indexOf(scored.state.get(cause) ?? Number.NaN))
  let now = best(new Map(), 'spectral')
  if (foreign.size > 0) now = adjusted(best(now.state, 'foreign'), 'spectral')
  let rivals: Weighed['rivals'] = []
  const gains = new Map<Cause, number>()
  for (let round = 0; round < mostCauses; round++) {
    const { state, value: before } = now
    const compared = (['curve', 'unevenness', 'clipping', 'other'] as const)
      .filter((cause) => !state.has(cause))
      .map((cause) => {
        const added = best(state, cause)
        // What a cause explains, spectra need not.
        return { cause, ...(added.value > before - shown ? adjusted(added, 'spectral') : added) }
      })
      .sort((a, b) => b.value - a.value)
    const ranked = compared.map(({ cause, value }) => ({ cause, gain: value - before }))
    for (const { cause, gain } of ranked) gains.set(cause, gain)
    // What the first, strongest cause was preferred to.
    if (round === 0) rivals = ranked
    const [first] = compared
    if (first === undefined || first.value - before < shown) break
    now = first
  }
  const foreignGains = new Map<number, number>()
  for (const p of foreign) {
    foreignGains.set(p, now.value - evidence.withoutPatch(now.state, 'foreign', p))
  }
  for (const cause of [...now.state.keys()]) {
    if (cause === 'spectral') continue
    const rest = new Map(now.state)
    rest.delete(cause)
    const without = evidence.of(rest)
    gains.set(cause, now.value - without)
    if (now.value - without < shown) now = { state: rest, value: without }
  }
  return { strengths: now.state, gains, rivals, foreignGains }
}
