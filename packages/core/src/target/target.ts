import { type Chart, isNeutral } from '../chart/chart.ts'
import { xyzOfValue } from '../chart/xyzOfValue.ts'
import { adaptation, type Cat } from '../colour/adaptation.ts'
import { illuminantNames, illuminantWhites, type Xy } from '../colour/illuminants.ts'
import { type Primaries, primariesConversion, xyzToRgb } from '../colour/primaries.ts'
import { exp } from '../elementary/exp.ts'
import { hypot } from '../elementary/hypot.ts'
import { ln } from '../elementary/ln.ts'
import { norm } from '../elementary/norm.ts'
import { decodeRgb, type Encoding } from '../encoding/encoding.ts'
import { IsochipError, type Warning } from '../errors.ts'
import { apply3, multiply3, type Vec3 } from '../linear/mat3.ts'
import type { Readings } from '../readings.ts'
import { patchLights } from '../samples/patchLights.ts'
import { trueBlack } from '../samples/trueBlack.ts'
import type { Shape } from '../shape/shape.ts'
import type { target as shape } from '../shape/target.ts'
import { chartInLight, type NamedLight } from '../spectra/chartInLight.ts'
import { isIlluminant } from '../spectra/illuminantPower.ts'

/** What a show's cameras go to, as it stands in a show file. */
export type TargetSpec = Shape<typeof shape>

/** Where a camera's patches are to go. */
export interface Target {
  /** By patch name: linear light in the working primaries. */
  readonly light: ReadonlyMap<string, Vec3>
  /** By patch name: standard error of `light`, same units. Empty where the values are taken as exact. */
  readonly standardError: ReadonlyMap<string, Vec3>
  /** By patch name: why the target has no value for it. */
  readonly excluded: ReadonlyMap<string, string>
  /** Of the chart's true black, where it has one that does not clip: linear light in the working primaries. */
  readonly trueBlack?: Vec3
  /** Where the light comes from spectra: by channel, what each knot of any reflectance adds to it. */
  readonly reflectanceWeights?: readonly Float64Array[]
  readonly warnings: readonly Warning[]
}

/** The readings of the camera that the others are to look like. */
export function targetFromCamera(
  chart: Chart,
  readings: Readings,
  encoding: Encoding,
  working: Primaries,
): Target {
  const convert = primariesConversion(encoding.primaries, working)
  const light = new Map<string, Vec3>()
  const standardError = new Map<string, Vec3>()
  const excluded = new Map<string, string>()
  for (const patch of patchLights(chart, readings, encoding)) {
    if (patch.unusable !== undefined) {
      excluded.set(patch.patch, `${patch.unusable}, in the target`)
      continue
    }
    light.set(patch.patch, apply3(convert, patch.light))
    const [r, g, b] = patch.standardError
    const row = (c: 0 | 1 | 2) => hypot(convert[c][0] * r, convert[c][1] * g, convert[c][2] * b)
    standardError.set(patch.patch, [row(0), row(1), row(2)])
  }
  const black = trueBlack(chart, readings)
  return {
    light,
    standardError,
    excluded,
    ...(black === undefined ? {} : { trueBlack: apply3(convert, decodeRgb(encoding, black)) }),
    warnings: [],
  }
}

/**
 * The chart's colours under a light, adapted to the working white.
 *
 * Values that were measured for that light (and the 2° observer) are taken as they are. Otherwise they are computed from
 * the spectra of the patches, adapted from the light's own white. A chart without spectra has its values adapted, and a
 * warning says so: adaptation does not know how the pigments behave under another light.
 *
 * @param light a CIE illuminant by name, or a light by its power, which only a chart with spectra can be seen in
 * @throws IsochipError `target-invalid` for an unknown illuminant, a chart without reference values, or one without
 *   spectra for a light by its power
 */
export function targetFromReference(
  chart: Chart,
  light: string | NamedLight,
  working: Primaries,
  cat: Cat = 'cat16',
): Target {
  const { reference } = chart
  if (typeof light === 'string' && !isIlluminant(light)) {
    throw new IsochipError('target-invalid', `reference illuminant "${light}" is not known`, {
      hint: `one of ${illuminantNames.join(', ')}, or the path of a measured light (CSV or CGATS)`,
    })
  }
  const isMeasuredFor = reference?.illuminant === light && reference.observer === 2
  const seen = isMeasuredFor ? undefined : chartInLight(chart, light)
  const toWorking = (white: Xy) => multiply3(xyzToRgb(working), adaptation(white, working.white, cat))
  if (seen !== undefined) {
    const matrix = toWorking(seen.white)
    return {
      light: new Map([...seen.xyz].map(([name, xyz]) => [name, apply3(matrix, xyz)])),
      standardError: new Map(),
      excluded: new Map(),
      ...noLight(chart),
      reflectanceWeights: matrix.map((row) =>
        seen.onKnots[0].map(
          (x, k) => row[0] * x + row[1] * seen.onKnots[1][k]! + row[2] * seen.onKnots[2][k]!,
        ),
      ),
      warnings: [],
    }
  }
  if (typeof light !== 'string') {
    throw new IsochipError(
      'target-invalid',
      `the chart ${chart.id} has no spectra, so its colours in the light ${light.name} are not known`,
      { hint: 'measure its spectral reflectance, or name the CIE illuminant that its values are for' },
    )
  }
  if (reference === undefined || chart.patches.every((patch) => patch.value === undefined)) {
    throw new IsochipError('target-invalid', `the chart ${chart.id} has no reference values`, {
      hint: 'measure the chart and put the values into its chart file, or take a camera as the target',
    })
  }
  const own = typeof reference.illuminant === 'string' ? reference.illuminant : undefined
  const white: Xy =
    typeof reference.illuminant === 'string'
      ? illuminantWhites[reference.illuminant]
      : reference.illuminant.white
  const matrix = toWorking(white)
  const lights = new Map<string, Vec3>()
  for (const patch of chart.patches) {
    if (patch.value !== undefined) lights.set(patch.name, apply3(matrix, xyzOfValue(patch.value, reference)))
  }
  const warnings: Warning[] = []
  if (own !== light) {
    warnings.push({
      code: 'reference-adapted',
      message: `the values of chart ${chart.id} are for ${own === undefined ? `the white ${white.join(', ')}` : `illuminant ${own}`}, not ${light}; they are adapted to the working white (${cat === 'cat16' ? 'CAT16' : 'Bradford'})`,
    })
  }
  if (reference.observer === 10) {
    warnings.push({
      code: 'reference-observer',
      message: `the values of chart ${chart.id} are for the 10° observer; cameras and displays are reckoned with the 2° observer`,
    })
  }
  return { light: lights, standardError: new Map(), excluded: new Map(), ...noLight(chart), warnings }
}

/** What a light trap gives back. */
const noLight = (chart: Chart): Pick<Target, 'trueBlack'> =>
  chart.patches.some(({ role }) => role === 'true-black') ? { trueBlack: [0, 0, 0] } : {}

/** One camera's say in a consensus. */
export interface ConsensusMember {
  readonly id: string
  readonly readings: Readings
  readonly encoding: Encoding
  /** Default 1. */
  readonly weight?: number
}

/**
 * The weighted mean of all cameras after each has its exposure and white balance levelled. Levelling gives every
 * camera the same sum of light over the neutral patches in every channel: the weighted geometric mean of the cameras'
 * own sums, taken over the channels too, so that the neutrals of the target are neutral. The level comes from the
 * cameras and is fixed before anything is averaged, so the target cannot shrink to nothing.
 *
 * @throws IsochipError `target-invalid` for no camera, weights that are not positive in sum, or no common neutrals
 */
export function targetFromConsensus(
  chart: Chart,
  members: readonly ConsensusMember[],
  working: Primaries,
): Target {
  const weights = members.map((member) => member.weight ?? 1)
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  if (members.length === 0 || !(total > 0) || weights.some((weight) => !(weight >= 0))) {
    throw new IsochipError(
      'target-invalid',
      `a consensus of ${members.length} cameras with weights ${weights.join(', ')}`,
      {
        hint: 'give each camera a weight of zero or more, and at least one more than zero',
      },
    )
  }
  const targets = members.map(({ readings, encoding }) =>
    targetFromCamera(chart, readings, encoding, working),
  )
  const common = chart.patches.filter((patch) => targets.every((target) => target.light.has(patch.name)))
  const neutrals = common.filter(isNeutral)
  const levelling = neutrals.length > 0 ? neutrals : common
  const sums = targets.map((target) =>
    [0, 1, 2].map((c) => levelling.reduce((sum, patch) => sum + target.light.get(patch.name)![c]!, 0)),
  )
  if (common.length === 0 || sums.some((sum) => sum.some((value) => !(value > 0)))) {
    throw new IsochipError(
      'target-invalid',
      'the cameras have no usable patches in common to level them by',
      {
        hint: 'look at the warnings of each camera: which patches clip or sit in the noise?',
      },
    )
  }
  const level = exp(
    sums.reduce((sum, s, i) => sum + (weights[i]! / total) * ((ln(s[0]!) + ln(s[1]!) + ln(s[2]!)) / 3), 0),
  )
  const light = new Map<string, Vec3>()
  const standardError = new Map<string, Vec3>()
  const excluded = new Map<string, string>()
  for (const patch of chart.patches) {
    const missing = targets.findIndex((target) => !target.light.has(patch.name))
    if (missing >= 0) {
      excluded.set(
        patch.name,
        targets[missing]!.excluded.get(patch.name) ?? `not read by ${members[missing]!.id}`,
      )
      continue
    }
    const mean = (c: 0 | 1 | 2) =>
      targets.reduce(
        (sum, target, i) =>
          sum + (weights[i]! / total) * (level / sums[i]![c]!) * target.light.get(patch.name)![c],
        0,
      )
    const error = (c: 0 | 1 | 2) =>
      norm(
        targets.map(
          (target, i) =>
            (weights[i]! / total) * (level / sums[i]![c]!) * (target.standardError.get(patch.name)?.[c] ?? 0),
        ),
      )
    light.set(patch.name, [mean(0), mean(1), mean(2)])
    standardError.set(patch.name, [error(0), error(1), error(2)])
  }
  return { light, standardError, excluded, warnings: targets.flatMap((target) => target.warnings) }
}
