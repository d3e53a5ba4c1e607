import { given, type IsochipError } from '@isochip/core'
import type {
  CameraPictures,
  CameraReport,
  FailedMatch,
  InputFile,
  LineUpReport,
  LutReport,
  ShowReport,
} from '@isochip/report'
import type { SetupMatch } from '../fit/matchSetup.ts'
import type { ShowPlan } from '../load/planShow.ts'
import { version } from '../version.ts'

/** What there is of a match beside its figures. */
export interface MatchExtras {
  readonly lut?: LutReport
  readonly pictures?: CameraPictures
}

/**
 * The report of a show.
 *
 * @param matches in the order of the report
 * @param failures why matches that the show asks for are not among them
 * @param lineUp how the cameras were lined up before it
 * @param inputs files that the show rests on as a whole: the chart, transfer tables
 */
export function buildReport(
  plan: ShowPlan,
  matches: readonly SetupMatch[],
  inputs: readonly InputFile[] = [],
  extras: (match: SetupMatch) => MatchExtras = () => ({}),
  failures: readonly IsochipError[] = [],
  lineUp?: LineUpReport,
): ShowReport {
  const { show, chart, output } = plan
  const setups = [...new Set(matches.map(({ setup }) => setup))]
  const failed = failedMatches(plan, matches, failures)
  return {
    title: show.title,
    chart,
    working: show.working,
    target: show.target,
    tolerance: show.tolerance,
    view: show.fit.view ?? 'scene',
    setups: setups.map((setup) => ({
      setup,
      cameras: matches
        .filter((one) => one.setup === setup)
        .map(
          (one): CameraReport => ({
            camera: one.camera,
            setup,
            ...given({ borrowed: one.borrowed }),
            sourceEncoding: one.source.spec,
            outputEncoding: output.spec,
            match: one.match,
            ...extras(one),
          }),
        ),
    })),
    ...given({ lineUp }),
    ...(failed.length === 0 ? {} : { failed }),
    version,
    inputs: [
      ...inputs,
      ...matches.filter(({ borrowed }) => borrowed === undefined).flatMap((one) => one.inputs),
    ],
    fit: show.fit,
  }
}

/** Every shot of the show that has no match, each with the error that is about it, or about its setup. */
function failedMatches(
  { show }: ShowPlan,
  matches: readonly SetupMatch[],
  failures: readonly IsochipError[],
): FailedMatch[] {
  const missing = show.cameras.flatMap(({ id, shots }) =>
    shots
      .filter(({ setup }) => !matches.some((one) => one.camera === id && one.setup === setup))
      .map(({ setup }) => ({ camera: id, setup })),
  )
  return missing.map(({ camera, setup }) => {
    const about = failures.filter(({ place }) => place.setup === undefined || place.setup === setup)
    const reason = about.find(({ place }) => place.camera === camera) ?? about[0]
    return { camera, setup, message: reason?.message ?? 'the match that it borrows could not be made' }
  })
}
