import {
  type CameraMatch,
  type Controls,
  type Encoding,
  type FitOptions,
  type FittedMatch,
  IsochipError,
  isIsochipError,
  type MatchInput,
  matchCamera,
  type Readings,
  referenceMatch,
  resolveEncoding,
  settingOf,
  type Target,
  targetFromCamera,
  targetFromConsensus,
  type Warning,
} from '@isochip/core'
import type { InputFile } from '@isochip/report'
import { isMeasured, withCurve } from '../load/measuredEncoding.ts'
import { knownEncoding, referenceTarget, type ShowPlan, withPlace } from '../load/planShow.ts'

/** What one camera says of the chart in one setup. */
export interface SetupReadings {
  readonly camera: string
  readonly setup: string
  readonly readings: Readings
  /** Bits of the recording, 8…16, default 10: they set where a narrow range has its ends. */
  readonly bits?: number
  /** Files that the readings come from. */
  readonly inputs?: readonly InputFile[]
  readonly warnings?: readonly Warning[]
}

/** One camera in one setup, matched, with all that a LUT is baked from. */
export interface SetupMatch {
  readonly camera: string
  readonly setup: string
  /** The setup whose match this is, where no chart was shot in this one. */
  readonly borrowed?: string
  readonly source: Encoding
  readonly bits: number
  readonly readings: Readings
  readonly match: CameraMatch
  readonly inputs: readonly InputFile[]
}

export interface SetupResult {
  readonly matches: readonly SetupMatch[]
  /** Cameras that could not be matched, and why; the others are. */
  readonly failures: readonly IsochipError[]
}

const commonBits = 10

/** Matches the cameras of one setup to the show's target. Pure. */
export function matchSetup(plan: ShowPlan, setup: string, shots: readonly SetupReadings[]): SetupResult {
  const { show, chart, working } = plan
  const failures: IsochipError[] = []
  const targetCamera = 'camera' in show.target ? show.target.camera : undefined
  const fail = (camera: string | undefined, cause: unknown) => {
    // A fault of the target's chart is said once, of the target, and not of every camera that goes to it.
    const ofTarget = isIsochipError(cause) && cause.code === 'target-misread'
    if (ofTarget && failures.some(({ code }) => code === 'target-misread')) return
    const at = ofTarget ? (targetCamera ?? camera) : camera
    const error = withPlace(cause, { ...(at === undefined ? {} : { camera: at }), setup })
    if (!isIsochipError(error)) throw error
    failures.push(error)
  }
  let target: Target
  try {
    target = setupTarget(plan, setup, shots)
  } catch (cause) {
    fail(targetCamera, cause)
    return { matches: [], failures }
  }
  const matches = shots.flatMap((shot): SetupMatch[] => {
    const isTarget = 'camera' in show.target && show.target.camera === shot.camera
    try {
      const declared = plan.encodings.get(shot.camera)!
      const { encoding: source, warnings: ofCurve } = withCurve(
        declared,
        chart,
        shot.readings,
        target,
        working,
      )
      const match = isTarget
        ? referenceMatch({ readings: shot.readings, encoding: source, target, working })
        : withSetting(
            { chart, readings: shot.readings, encoding: source, target, working },
            show.fit,
            show.cameras.find(({ id }) => id === shot.camera)?.controls,
            // A measured curve holds what the camera's controls do, so that nothing is left to be set.
            !isMeasured(declared),
          )
      const warnings = [...(shot.warnings ?? []), ...ofCurve, ...match.warnings]
      return [
        {
          camera: shot.camera,
          setup,
          // A curve that was fitted along is what the LUT decodes with.
          source:
            match.kind === 'fitted' && match.curve !== undefined
              ? resolveEncoding(match.curve.encoding)
              : source,
          bits: shot.bits ?? commonBits,
          readings: shot.readings,
          match: { ...match, warnings },
          inputs: shot.inputs ?? [],
        },
      ]
    } catch (cause) {
      fail(shot.camera, cause)
      return []
    }
  })
  return { matches, failures }
}

/** A camera's match, and what to set at the camera instead. */
function withSetting(
  input: MatchInput,
  fit: FitOptions,
  controls: Controls | undefined,
  set: boolean,
): FittedMatch {
  const match = matchCamera(input, fit)
  if (!set) return match
  const encoding = match.curve === undefined ? input.encoding : resolveEncoding(match.curve.encoding)
  const setting = settingOf({ ...input, encoding }, match, fit, controls)
  return { ...match, ...(setting === undefined ? {} : { setting }) }
}

function setupTarget(plan: ShowPlan, setup: string, shots: readonly SetupReadings[]): Target {
  const { show, chart, working, encodings } = plan
  const { target } = show
  if ('camera' in target) {
    const own = shots.find(({ camera }) => camera === target.camera)
    if (own === undefined) {
      const waiting = shots.map(({ camera }) => camera).join(', ')
      throw new IsochipError(
        'target-invalid',
        `without its target camera nothing can be matched here: ${waiting}`,
        {
          hint: `fix the chart of camera "${target.camera}" in setup "${setup}"`,
        },
      )
    }
    const seen = targetFromCamera(chart, own.readings, knownEncoding(encodings, own.camera), working)
    if (seen.light.size > 0) return seen
    const [reason] = seen.excluded.values()
    throw new IsochipError(
      'clipped',
      `no patch of the target can serve: all are left out (the first: ${reason})`,
      {
        hint: 'expose the chart so that no patch clips and the black stands above the noise',
      },
    )
  }
  if ('reference' in target) return referenceTarget(plan, target.reference)
  const members = shots.flatMap((shot) => {
    const encoding = encodings.get(shot.camera)!
    // What is measured against the mean is no part of it.
    if (isMeasured(encoding)) return []
    const { camera: id, readings } = shot
    return [{ id, readings, encoding, weight: target.weights?.[id] ?? 1 }]
  })
  return targetFromConsensus(chart, members, working)
}

/** The match of a lender, for a setup in which the camera shot no chart. */
export function borrowMatch(lender: SetupMatch, setup: string): SetupMatch {
  const warning: Warning = {
    code: 'borrowed-match',
    message:
      `no chart was shot in setup "${setup}": this is the match of setup "${lender.setup}", with its figures. ` +
      'It is for the light of that setup; how well it holds here, nobody has measured',
    place: { camera: lender.camera, setup },
  }
  return {
    ...lender,
    setup,
    borrowed: lender.setup,
    match: { ...lender.match, warnings: [warning, ...lender.match.warnings] },
  }
}
