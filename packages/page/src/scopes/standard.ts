import type { Encoding } from '@isochip/core'

/** What a scope takes from the standard of an encoding. Levels are nominal: 0 is black, 1 the nominal peak. */
export interface ScopeStandard {
  /** As people call the matrix of its luma. */
  readonly name: string
  /** Weights of R′, G′ and B′ in luma. */
  readonly luma: readonly [number, number, number]
  /** Levels of its colour bars: the lower ones that are lined up to, and the full ones. */
  readonly bars: readonly [lower: number, full: number]
  /** Is it a signal that is delivered, whose levels have limits? Log and linear recordings have none. */
  readonly limits: boolean
}

/** ITU-R BT.709-6, item 3.2. */
const bt709 = [0.2126, 0.7152, 0.0722] as const
/** ITU-R BT.2020-2, table 4; the same in BT.2100-2, table 6, for PQ and HLG. */
const bt2020 = [0.2627, 0.678, 0.0593] as const

/**
 * Bars of 75 % (ITU-R BT.471, SMPTE RP 219; of HLG in BT.2111) and 100 %. Of PQ BT.2111 has 58 % for the lower ones, 203 cd/m²,
 * which is diffuse white there (from memory).
 */
const lowerBars = { usual: 0.75, pq: 0.58 }

/** The standard by which a scope shows an encoding. Primaries that no standard of video has are shown by BT.709, as monitors do. */
export function scopeStandard({ transfer, primaries }: Encoding['spec']): ScopeStandard {
  const wide = primaries === 'bt2020'
  return {
    name: wide ? 'BT.2020' : 'BT.709',
    luma: wide ? bt2020 : bt709,
    bars: [transfer === 'pq' ? lowerBars.pq : lowerBars.usual, 1],
    limits:
      typeof transfer === 'string'
        ? !['linear', 'acescc', 'acescct'].includes(transfer)
        : !('log' in transfer),
  }
}

/** Y′ 0…1 and C_B, C_R −0.5…0.5 of R′G′B′: BT.709-6, item 3.3, and BT.2020-2, table 4, with the divisors worked out. */
export function differences(
  [kr, kg, kb]: ScopeStandard['luma'],
  r: number,
  g: number,
  b: number,
): readonly [y: number, cb: number, cr: number] {
  const y = kr * r + kg * g + kb * b
  return [y, (b - y) / (2 * (1 - kb)), (r - y) / (2 * (1 - kr))]
}

/**
 * The 10-bit code of a level.
 *
 * @param range narrow: 64 … 940 (BT.709-6, item 4.6; BT.2100-2, table 9); full: 0 … 1023
 */
export const code10 = (level: number, range: 'narrow' | 'full'): number =>
  range === 'narrow' ? Math.round(64 + 876 * level) : Math.round(1023 * level)
