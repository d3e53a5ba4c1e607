import type { CameraPictures, CameraReport, InputFile, LutReport, ShowReport } from '@isochip/report'
import type { ShowPlan } from '../plan/planShow.ts'
import { version } from '../version.ts'
import type { SetupMatch } from './matchSetup.ts'

/** What there is of a match beside its figures. */
export interface MatchExtras {
  readonly lut?: LutReport
  readonly pictures?: CameraPictures
}

/**
 * The report of a show.
 *
 * @param matches in the order of the report
 * @param inputs files that the show rests on as a whole: the chart, transfer tables
 */
export function buildReport(
  plan: ShowPlan,
  matches: readonly SetupMatch[],
  inputs: readonly InputFile[] = [],
  extras: (match: SetupMatch) => MatchExtras = () => ({}),
): ShowReport {
  const { show, chart, output } = plan
  const setups = [...new Set(matches.map(({ setup }) => setup))]
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
            isTarget: one.isTarget,
            ...(one.borrowed === undefined ? {} : { borrowed: one.borrowed }),
            sourceEncoding: one.source.spec,
            outputEncoding: output.spec,
            match: one.match,
            ...extras(one),
          }),
        ),
    })),
    version,
    inputs: [
      ...inputs,
      ...matches.filter(({ borrowed }) => borrowed === undefined).flatMap((one) => one.inputs),
    ],
    fit: show.fit,
  }
}
