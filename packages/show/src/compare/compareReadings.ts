import { compareResponses, given, type ResponseComparison } from '@isochip/core'
import type { SetupReadings } from '../fit/matchSetup.ts'
import { isMeasured } from '../load/measuredEncoding.ts'
import { knownEncoding, type ShowPlan } from '../load/planShow.ts'

export interface SetupComparison extends ResponseComparison {
  readonly setup: string
}

/** Compares the responses of a setup's cameras with each other and with the standard observer. Pure. */
export function compareReadings(
  { chart, encodings, working, show }: ShowPlan,
  setup: string,
  all: readonly SetupReadings[],
): SetupComparison {
  const { clippedShare } = show.fit
  const measured = all.filter(({ camera }) => isMeasured(encodings.get(camera)!))
  const compared = compareResponses({
    chart,
    cameras: all
      .filter((shot) => !measured.includes(shot))
      .map(({ camera, readings }) => ({
        name: camera,
        readings,
        encoding: knownEncoding(encodings, camera),
      })),
    working,
    ...given({ clippedShare }),
  })
  const leftOut = measured.map(
    ({ camera }) => `${camera} is left out: without its curve nothing is known of its responses`,
  )
  return { setup, ...compared, cautions: [...leftOut, ...compared.cautions] }
}
