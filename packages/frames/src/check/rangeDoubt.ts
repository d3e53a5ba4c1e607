import type { Vec3, Warning } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'

/** Weights of Y′ in BT.709-6, item 3.2. */
const luma = ([r, g, b]: Vec3) => 0.2126 * r + 0.7152 * g + 0.0722 * b

/** Levels that flat patches of narrow range do not leave: EBU R 103 bears −1 and 105 %; a little more for noise. */
const lowest = -0.02
const highest = 1.05
/** Black and white of narrow range, where they are taken for full range (BT.709-6, item 4.6). */
const narrow = { black: 16 / 255, white: 235 / 255 }
/** Half a code, and two. */
const within = 0.5 / 255
const near = 2.5 / 255
/** Share of the pixels that a few filtered edges may have beyond the ends, and least share that lies at one of them. */
const stray = 0.0002
const pile = 0.0005
/** Pixels looked at. */
const looked = 200_000

/**
 * Do the levels of a Y′CbCr clip speak against the range of its tag? Full range that is tagged narrow puts flat patches
 * below black or far above white; narrow range that is tagged full leaves the ends empty, and piles up at 16 or 235.
 *
 * @param patches levels of the patches
 */
export function rangeDoubt(
  { taggedRange, data }: Pick<Frame, 'taggedRange' | 'data'>,
  patches: readonly { readonly patch: string; readonly rgb: Vec3 }[],
): readonly Warning[] {
  if (taggedRange === 'narrow') {
    const off = patches.filter(({ rgb }) => !(luma(rgb) >= lowest && luma(rgb) <= highest))
    const [first] = off
    if (first === undefined) return []
    const level = `${(100 * luma(first.rgb)).toFixed(0)} %`
    const others = off.length > 1 ? `, and ${off.length - 1} more` : ''
    return doubt(
      `the clip was read as narrow range, and flat patches lie beyond it (${first.patch} at ${level}${others}): does the camera record full range? Then set ycbcr: { range: full }; or the exposure uses the room above white`,
    )
  }
  if (taggedRange !== 'full') return []
  const step = 3 * Math.max(1, Math.floor(data.length / 3 / looked))
  let [count, beyond, atBlack, atWhite] = [0, 0, 0, 0]
  for (let at = 0; at + 2 < data.length; at += step) {
    const level = luma([data[at]!, data[at + 1]!, data[at + 2]!])
    count++
    if (level < narrow.black - within || level > narrow.white + within) beyond++
    else if (level < narrow.black + near) atBlack++
    else if (level > narrow.white - near) atWhite++
  }
  if (beyond > stray * count || Math.max(atBlack, atWhite) < pile * count) return []
  return doubt(
    'the clip was read as full range, and its levels lie between the codes 16 and 235 only: does the camera record narrow range? Then set ycbcr: { range: narrow }',
  )
}

const doubt = (message: string): readonly Warning[] => [{ code: 'range-doubtful', message }]
