import type { Channel, Vec3, Warning } from '@isochip/core'

interface PatchNoise {
  readonly patch: string
  /** Level and standard deviation of a pixel, nominal fractions. */
  readonly rgb: Vec3
  readonly sd: Vec3
  /** Share of pixels at the end of the code range. */
  readonly clipped: number
  /** Distance between neighbouring codes of the source, nominal fraction. */
  readonly step: Vec3
}

/** Levels this near to the highest of a channel are at its top. */
const top = 0.02
/** Patches below them that tell how much noise there should be. */
const compared = 3
/**
 * Between patches of a grey scale the noise of curves in use changes by less than a half; a limiter or the flat part of a
 * knee takes nearly all of it. Common practice, no source.
 */
const quiet = 0.3
const told = 0.01

const names = ['red', 'green', 'blue'] as const

/**
 * The brightest patches of a channel that have hardly any noise where the next darker ones have some: the camera clips
 * them below the end of its code range, as at 100 % of video or where its sensor is full, or a knee presses them together.
 * Levels alone cannot tell. Where the noise is smaller than a code of the source nothing is said.
 */
export function flatPatches(patches: readonly PatchNoise[]): Warning[] {
  const found = new Map<string, { readonly share: number; readonly channels: string[] }>()
  for (const c of [0, 1, 2] as const) {
    for (const [patch, share] of flatIn(patches, c)) {
      const before = found.get(patch)
      const channels = [...(before?.channels ?? []), names[c]]
      found.set(patch, { share: Math.max(share, before?.share ?? 0), channels })
    }
  }
  return [...found].map(([patch, { share, channels }]) => ({
    code: 'patch-flat',
    message:
      `its noise in ${listed(channels)} is ${Math.round(100 * share)} % of that of the next darker patches: ` +
      'the camera clips it below the end of the code range, or a knee presses it together',
    place: { patch },
  }))
}

/** Flat patches of one channel, and how much of the others' noise they have. */
function flatIn(patches: readonly PatchNoise[], c: Channel): (readonly [patch: string, share: number])[] {
  const sorted = patches.filter(({ rgb }) => Number.isFinite(rgb[c])).sort((a, b) => b.rgb[c] - a.rgb[c])
  const highest = sorted[0]?.rgb[c] ?? 0
  const brightest = sorted.filter(({ rgb }) => rgb[c] >= highest - top)
  const darker = sorted.slice(brightest.length, brightest.length + compared)
  if (darker.length < compared) return []
  const { sd, step } = darker.sort((a, b) => a.sd[c] - b.sd[c])[Math.floor(compared / 2)]!
  if (!(sd[c] >= step[c])) return []
  // What clips at the end of the range is told otherwise.
  return brightest
    .filter((one) => one.clipped <= told && one.sd[c] < quiet * sd[c])
    .map((one) => [one.patch, one.sd[c] / sd[c]] as const)
}

const listed = (words: readonly string[]) =>
  words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`
