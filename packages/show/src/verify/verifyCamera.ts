import { isDeepStrictEqual } from 'node:util'
import {
  apply3,
  type Chart,
  decodeRgb,
  defaultClippedShare,
  deltaE00,
  type Encoding,
  given,
  IsochipError,
  labOfView,
  patchLights,
  primariesConversion,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  type Summary,
  summarise,
  type Vec3,
  type Warning,
  type WarningCode,
} from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import { type Doubt, doubtCodes } from '@isochip/report'
import { isMeasured } from '../load/measuredEncoding.ts'
import { referenceTarget, type ShowPlan } from '../load/planShow.ts'
import type { MatchFile } from '../matchFile/matchFile.ts'
import { type Drift, drift } from './drift.ts'
import type { HeldLut } from './findLut.ts'
import { matchLights } from './matchLights.ts'
import { throughLut } from './throughLut.ts'
import type { verifiedCamera } from './verificationShape.ts'

/** A chart as a camera shot it now, and the LUT that it goes through. */
export interface Sight {
  readonly camera: string
  readonly setup: string
  /** The setup in which the chart was shot, where the show borrows the match of that setup for this one. */
  readonly borrowed?: string
  readonly readings: Readings
  readonly bits: number
  readonly warnings: readonly Warning[]
  /** The target camera needs none: its own picture is what the others go to. */
  readonly lut: HeldLut | undefined
}

export interface VerifiedCamera extends Shape<typeof verifiedCamera> {}

/** A LUT of one run beside the match file of another: its figures are not those of that match. */
const mixedRuns = ({ warnings }: Sight): Doubt[] =>
  warnings.flatMap(({ code, message }) => (code === 'files-mixed' ? [{ code, message }] : []))

/** What a camera gives through its LUT. */
interface Seen {
  /** By patch, linear light in the working primaries. */
  readonly light: ReadonlyMap<string, Vec3>
  /** By patch, why it cannot serve. */
  readonly unusable: ReadonlyMap<string, string>
}

/**
 * Judges one camera by the chart of now.
 *
 * @param target the target camera's chart of the same setup, where a camera is the target
 * @throws IsochipError `target-invalid`, `clipped`, `encoding-unknown`, `readings-invalid`
 */
export function verifyCamera(plan: ShowPlan, sight: Sight, target: Sight | undefined): VerifiedCamera {
  const { show, chart, working } = plan
  const { camera, setup, borrowed, lut } = sight
  const isTarget = 'camera' in show.target && show.target.camera === camera
  const match = lut?.match
  const isOwn = match?.camera === camera && match.setup === setup
  const past = match === undefined ? undefined : isOwn ? pastOf(plan, sight, match) : notOwn(sight, match)
  const view = show.fit.view ?? 'scene'
  const whole = given({ camera, isTarget, borrowed, lut: lut?.name, drift: past?.drift })
  const warnings = [...sight.warnings, ...(lut?.warnings ?? []), ...(past?.warnings ?? [])]
  if (isTarget) return { ...whole, within: true, doubts: [], patches: [], leftOut: [], warnings }

  const own = seenThrough(plan, sight)
  const wanted = wantedLight(plan, sight, target)
  const patches: { patch: string; dE00: number }[] = []
  const leftOut: { patch: string; reason: string }[] = []
  const lab = labOfView(working, view)
  for (const { name } of chart.patches) {
    const light = own.light.get(name)
    if (light === undefined) continue
    const goal = wanted.light.get(name)
    const reason =
      own.unusable.get(name) ??
      wanted.unusable.get(name) ??
      (goal === undefined ? 'no target value' : undefined) ??
      weightless(plan, name) ??
      (match === undefined ? undefined : noPart(match, name))
    if (reason === undefined) patches.push({ patch: name, dE00: deltaE00(lab(light), lab(goal!)) })
    else leftOut.push({ patch: name, reason })
  }
  if (patches.length === 0) {
    throw new IsochipError(
      'clipped',
      `no patch can be compared: all are left out (the first: ${leftOut[0]?.reason ?? 'there is none'})`,
      { hint: 'expose the chart so that no patch clips', place: { camera, setup } },
    )
  }
  const now = summarise(patches)
  const { mean, max } = show.tolerance
  const made =
    match === undefined || lut === undefined || !isOwn || !sameTarget(plan, match)
      ? undefined
      : madeThen(plan, match, lut, patches, target?.lut)
  return {
    ...whole,
    now,
    ...given({ made }),
    within: now.mean <= mean && now.max <= max,
    doubts: [...doubtsThen(match), ...mixedRuns(sight)],
    patches,
    leftOut,
    warnings,
  }
}

/** What was in doubt when the match was made is so still. */
const doubtsThen = (match: MatchFile | undefined): Doubt[] =>
  (match?.warnings ?? [])
    .filter(({ code }) => doubtCodes.includes(code))
    .map(({ code, message }) => ({ code, message }))

/** The encoding by which a camera's code values are read: a curve that was measured or corrected is that of then. */
function encodingOf({ encodings, show }: ShowPlan, { camera, lut }: Sight): Encoding | undefined {
  const own = encodings.get(camera)!
  const { curve } = show.fit
  if (!isMeasured(own) && (curve === undefined || curve === 'declared' || lut?.match === undefined))
    return own
  return lut?.match === undefined ? undefined : resolveEncoding(lut.match.sourceEncoding)
}

function seenThrough(plan: ShowPlan, sight: Sight): Seen {
  const { chart, working, encodings, show } = plan
  const { readings, bits, lut } = sight
  const encoding = encodingOf(plan, sight)
  const limit = show.fit.clippedShare ?? defaultClippedShare
  const unusable = new Map<string, string>()
  if (encoding === undefined) {
    for (const { patch, clipped = 0, foreign } of readings.patches)
      if (foreign) unusable.set(patch, 'something else shows there than the chart')
      else if (clipped > limit) unusable.set(patch, `clipped (${(100 * clipped).toFixed(1)} % of its pixels)`)
  } else {
    for (const one of patchLights(chart, readings, encoding, limit))
      if (one.unusable !== undefined) unusable.set(one.patch, one.unusable)
  }
  const through =
    lut === undefined
      ? declaredLight(plan, sight)
      : throughLut(lut.apply, encodings.get(sight.camera)!, lut.output, working, bits)
  return { light: new Map(readings.patches.map(({ patch, rgb }) => [patch, through(rgb)])), unusable }
}

/** A target camera without a LUT is taken as it is. */
function declaredLight(plan: ShowPlan, sight: Sight): (code: Vec3) => Vec3 {
  const encoding = encodingOf(plan, sight)
  // The show was refused where a target's curve is to be measured, and nobody else comes without a LUT.
  if (encoding === undefined) throw new Error(`camera ${sight.camera} has neither curve nor LUT`)
  const toWorking = primariesConversion(encoding.primaries, plan.working)
  return (code) => apply3(toWorking, decodeRgb(encoding, code))
}

/** Where the camera should be. */
function wantedLight(plan: ShowPlan, { camera, setup, lut }: Sight, target: Sight | undefined): Seen {
  const { show, working } = plan
  const nothing = new Map<string, string>()
  if ('reference' in show.target)
    return { light: referenceTarget(plan, show.target.reference).light, unusable: nothing }
  if ('camera' in show.target) {
    if (target !== undefined) {
      const { light, unusable } = seenThrough(plan, target)
      return {
        light,
        unusable: new Map([...unusable].map(([patch, why]) => [patch, `${why}, in the target`])),
      }
    }
  } else if (lut?.match !== undefined && sameTarget(plan, lut.match)) {
    const toWorking = primariesConversion(resolvePrimaries(lut.match.working), working)
    const light = [...targetLight(lut.match)].map(([patch, aim]) => [patch, apply3(toWorking, aim)] as const)
    return { light: new Map(light), unusable: nothing }
  }
  throw new IsochipError('target-invalid', 'there is no target to compare with', {
    hint:
      'camera' in show.target
        ? `camera "${show.target.camera}" needs a chart in this setup too`
        : 'the mean of the cameras stands in the match files: keep them beside the LUTs',
    place: { camera, setup },
  })
}

/** A patch that the show gives no weight. */
function weightless({ show, chart }: ShowPlan, name: string): string | undefined {
  const role = chart.patches.find((patch) => patch.name === name)?.role
  const { patches = {}, roles = {} } = show.fit.weights ?? {}
  const zero = patches[name] === 0 || (role !== undefined && roles[role] === 0)
  return zero ? 'weight 0 was asked for' : undefined
}

/** Where each patch of a match was to go, in its working primaries; the reference camera stays where it is. */
const targetLight = (match: MatchFile): ReadonlyMap<string, Vec3> =>
  new Map(
    match.kind === 'fitted'
      ? match.patches.map(({ patch, target }) => [patch, target])
      : match.patches.map(({ patch, source }) => [patch, source]),
  )

/** A patch that the match did not know: how it comes out is nothing that could have changed. */
function noPart(match: MatchFile, name: string): string | undefined {
  const then = match.patches.find(({ patch }) => patch === name)
  // One that was not read then, or that the target had no value for, is not in the file.
  if (then === undefined) return 'had no part in the match'
  return then.excluded === undefined ? undefined : `had no part in the match: ${then.excluded}`
}

const sameTarget = ({ show, chart }: ShowPlan, match: MatchFile) =>
  isDeepStrictEqual(show.target, match.target) && sameChart(chart, match)

const sameChart = (chart: Chart, { provenance }: MatchFile) => provenance.options.chart === chart.id

/** The chart of then through the LUTs of now, at the patches that count now. */
function madeThen(
  { working, show }: ShowPlan,
  match: MatchFile,
  lut: HeldLut,
  patches: readonly { readonly patch: string }[],
  targetLut: HeldLut | undefined,
): Summary {
  const lab = labOfView(working, show.fit.view ?? 'scene')
  const inWorking = ({ working: own }: MatchFile, light: ReadonlyMap<string, Vec3>) => {
    const convert = primariesConversion(resolvePrimaries(own), working)
    return new Map([...light].map(([patch, value]) => [patch, lab(apply3(convert, value))]))
  }
  const light = inWorking(match, matchLights(match, lut.apply))
  const declared = inWorking(match, targetLight(match))
  // The target's own LUT clips what its code values cannot say, then as now.
  const throughTarget =
    targetLut?.match === undefined
      ? declared
      : inWorking(targetLut.match, matchLights(targetLut.match, targetLut.apply))
  return summarise(
    patches.map(({ patch }) => ({
      patch,
      dE00: deltaE00(light.get(patch)!, throughTarget.get(patch) ?? declared.get(patch)!),
    })),
  )
}

/** One LUT for all setups may come with the match file of one of them. */
function notOwn({ camera, setup }: Sight, match: MatchFile): { drift?: Drift; warnings: Warning[] } {
  return {
    warnings: [
      {
        code: 'other-setup',
        message: `its match file is of camera ${match.camera} in setup ${match.setup}: what has changed since cannot be told`,
        place: { camera, setup },
      },
    ],
  }
}

function controlsOf({ show }: ShowPlan, camera: string) {
  const controls = show.cameras.find(({ id }) => id === camera)?.controls
  return given({ controls })
}

/** What has changed since the match was made, or why that cannot be told. */
function pastOf(plan: ShowPlan, sight: Sight, match: MatchFile): { drift?: Drift; warnings: Warning[] } {
  const { chart, encodings, show } = plan
  const { camera, setup, readings } = sight
  const warn = (code: WarningCode, message: string): Warning => ({ code, message, place: { camera, setup } })
  if (!sameChart(chart, match)) {
    const other = String(match.provenance.options.chart)
    return {
      warnings: [
        warn(
          'other-chart',
          `its match was made from chart ${other}, now it is ${chart.id}: what has changed since cannot be told`,
        ),
      ],
    }
  }
  const warnings = isDeepStrictEqual(show.target, match.target)
    ? []
    : [
        warn(
          'other-target',
          'its match was made towards another target: how far it was then is not comparable',
        ),
      ]
  const own = encodings.get(camera)!
  const { primaries, range } = match.sourceEncoding
  // A curve that was measured or corrected then is not one of the show file.
  const curveFound = isMeasured(own) || (match.kind === 'fitted' && match.curve !== undefined)
  const same = curveFound
    ? isDeepStrictEqual({ ...own.spec, transfer: '' }, { transfer: '', primaries, range })
    : isDeepStrictEqual(own.spec, match.sourceEncoding)
  if (!same) {
    return {
      warnings: [
        ...warnings,
        warn(
          'other-encoding',
          'the show gives it another encoding than its match was made with: what has changed since cannot be told',
        ),
      ],
    }
  }
  const found = drift(chart, readings, match, show.fit, {
    measured: curveFound,
    ...controlsOf(plan, camera),
  })
  return given({ drift: found, warnings })
}
