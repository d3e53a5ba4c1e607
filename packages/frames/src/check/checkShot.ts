import type { Chart, Vec3 } from '@isochip/core'
import { hypot, isNeutral } from '@isochip/core'
import { referenceColours } from '../find/place/referenceColours.ts'
import type { SampledArea } from '../sample/sampleChart.ts'
import { areaSteps, extent } from './areaSteps.ts'
import { lightSlope } from './lightSlope.ts'

/** One property of a shot chart: what was measured, what is good enough, and what to do where it is not. */
export interface ShotCheck {
  readonly name: 'evenness' | 'glare' | 'flare' | 'clipping' | 'size' | 'noise'
  readonly value: number
  /** Good up to this value; for `size`, from this value on. */
  readonly threshold: number
  readonly unit: string
  readonly passed: boolean
  /** What was measured, in words with the number. */
  readonly message: string
  /** What to do about it on set. Empty where nothing is needed. */
  readonly advice: string
  readonly patches: readonly string[]
}

export interface ShotInput {
  readonly areas: readonly SampledArea[]
  readonly chart: Chart
  /** Nominal code values → linear light: the decoder of the camera's encoding. */
  readonly decode: (rgb: Vec3) => Vec3
}

/*
 * Common practice, no source: a chart is lit evenly within a tenth of a stop; glare shows as a patch whose light
 * runs otherwise than its neighbours'; veiling glare of 1 % of white lifts the blacks visibly; a mean is good to a
 * thousandth; a hundred pixels a patch are few.
 */
const thresholds = {
  evenness: 0.1,
  glare: 0.12,
  flare: 0.01,
  clipping: 0.005,
  size: 100,
  noise: 0.002,
} as const

/**
 * How well a chart was shot, as far as its own patches tell. A check that the chart cannot answer (no reference
 * values, no two neutrals) is left out.
 */
export function checkShot(input: ShotInput): readonly ShotCheck[] {
  return [evenness(input), glare(input), flare(input), clipping(input), size(input), noise(input)].filter(
    (check) => check !== undefined,
  )
}

function check(
  name: ShotCheck['name'],
  value: number,
  unit: string,
  message: string,
  advice: string,
  patches: readonly string[] = [],
): ShotCheck {
  const threshold = thresholds[name]
  const passed = name === 'size' ? value >= threshold : value <= threshold
  return { name, value, threshold, unit, passed, message, advice: passed ? '' : advice, patches }
}

function evenness({ areas, chart, decode }: ShotInput): ShotCheck | undefined {
  const slope = lightSlope(areas, chart, decode)
  if (slope === undefined) return undefined
  const along = areas.map(({ centre }) => slope.x * centre[0] + slope.y * centre[1])
  const stops = Math.max(...along) - Math.min(...along)
  const brighter =
    Math.abs(slope.x) > Math.abs(slope.y) ? (slope.x > 0 ? 'right' : 'left') : slope.y > 0 ? 'bottom' : 'top'
  return check(
    'evenness',
    stops,
    'stops',
    `light and lens change by ${stops.toFixed(2)} stops across the chart, brightest towards the ${brighter} of the frame`,
    'move the lamp further away or turn the chart to it, keep the chart to the middle of the frame; or have the unevenness divided out',
  )
}

function glare({ areas, chart, decode }: ShotInput): ShotCheck | undefined {
  const slope = lightSlope(areas, chart, decode)
  if (slope === undefined) return undefined
  const odd = areas.map((area) => {
    const own = areaSteps(area, decode)
    if (own === undefined) return 0
    const [width, height] = extent(area)
    return Math.max(0, hypot(own.x - slope.x * width, own.y - slope.y * height) - 3 * own.error)
  })
  const patches = areas.filter((_, i) => odd[i]! > thresholds.glare).map((area) => area.patch)
  const most = Math.max(...odd)
  return check(
    'glare',
    most,
    'stops',
    patches.length === 0
      ? 'no patch has a light of its own'
      : `the light within ${patches.length} patches changes by up to ${most.toFixed(2)} stops more than across the chart`,
    'something shines in the patches: tilt the chart, or flag the lamp or window that it mirrors',
    patches,
  )
}

function flare({ areas, chart, decode }: ShotInput): ShotCheck | undefined {
  const colours = referenceColours(chart)
  if (colours === undefined) return undefined
  const neutrals = chart.patches.flatMap((patch, i) => {
    const area = areas.find((one) => one.patch === patch.name)
    return isNeutral(patch) && area !== undefined && area.clipped < 0.02
      ? [{ reference: colours[i]![1], measured: decode(area.rgb)[1] }]
      : []
  })
  neutrals.sort((a, b) => a.reference - b.reference)
  const dark = neutrals[0]
  const light = neutrals.at(-1)
  const trap = trapLight({ areas, chart, decode })
  if (trap !== undefined && light !== undefined && light.reference > 0.1) {
    // No light comes from the hole: what is measured there is gain · glare, and of the white gain · (reference + glare).
    const glare = (trap * light.reference) / (light.measured - trap)
    if (Number.isFinite(glare))
      return check(
        'flare',
        glare,
        'of white',
        `${(100 * glare).toFixed(1)} % of white is recorded in the true black, where no light comes from: flare and pedestal`,
        flareAdvice,
      )
  }
  if (dark === undefined || light === undefined || light.reference < 4 * dark.reference) return undefined
  // measured = gain · (reference + glare) for both patches, solved for the glare in units of a perfect white.
  const glare =
    (dark.measured * light.reference - light.measured * dark.reference) / (light.measured - dark.measured)
  if (!Number.isFinite(glare)) return undefined
  return check(
    'flare',
    glare,
    'of white',
    `${(100 * glare).toFixed(1)} % of white lies over the blacks as veiling glare, by the chart's reference values`,
    flareAdvice,
  )
}

const flareAdvice =
  'shade the lens, clean the filter, turn the chart so that no lamp is mirrored; check that the camera’s encoding is the one given'

/** Light of the chart's true black; the darkest of several. `undefined` where there is none, or it clips. */
function trapLight({ areas, chart, decode }: ShotInput): number | undefined {
  const lights = chart.patches.flatMap(({ name, role }) => {
    const area = role === 'true-black' ? areas.find(({ patch }) => patch === name) : undefined
    return area === undefined || area.clipped >= 0.02 ? [] : [decode(area.rgb)[1]]
  })
  return lights.length === 0 ? undefined : Math.min(...lights)
}

function clipping({ areas }: ShotInput): ShotCheck {
  const patches = areas.filter((area) => area.clipped > thresholds.clipping)
  const most = Math.max(...areas.map((area) => area.clipped))
  return check(
    'clipping',
    most,
    'of a patch',
    patches.length === 0
      ? 'no patch clips'
      : `${patches.length} patches clip${inChannels(patches)}, ${Math.round(100 * most)} % of the worst one's pixels`,
    'close the iris, or open it where the black clips, and shoot the chart again; clipped patches are left out of a match',
    patches.map((area) => area.patch),
  )
}

/** Which channels clip at which end: "(red and green at the top, blue at the bottom)". */
function inChannels(patches: readonly SampledArea[]): string {
  const names = ['red', 'green', 'blue']
  const ends = (['high', 'low'] as const).flatMap((end) => {
    const clip = names.filter((_, c) =>
      patches.some(({ clippedIn }) => (clippedIn?.[end][c as 0 | 1 | 2] ?? 0) > thresholds.clipping),
    )
    return clip.length === 0 ? [] : [`${clip.join(' and ')} at the ${end === 'high' ? 'top' : 'bottom'}`]
  })
  return ends.length === 0 ? '' : ` (${ends.join(', ')})`
}

function size({ areas }: ShotInput): ShotCheck {
  const smallest = areas.reduce((a, b) => (b.pixels < a.pixels ? b : a))
  const least = smallest.pixels
  return check(
    'size',
    least,
    'pixels',
    `the smallest sample is of ${least} pixels: ${extent(smallest)
      .map((side) => side.toFixed(0))
      .join(' × ')} in the middle of patch "${smallest.patch}"`,
    'shoot the chart larger, or give more frames',
  )
}

function noise({ areas }: ShotInput): ShotCheck {
  const errors = areas.map((area) => Math.max(...area.standardError))
  const most = Math.max(...errors)
  return check(
    'noise',
    most,
    'of the range',
    `patch means are known to ${(100 * most).toFixed(2)} % of the code range or better`,
    'give several frames of the same shot, or shoot the chart larger or at a lower sensitivity',
    areas.filter((_, i) => errors[i]! > thresholds.noise).map((area) => area.patch),
  )
}
