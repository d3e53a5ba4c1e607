import type { IsochipError } from '@isochip/core'
import type { ShowPlan } from '../load/planShow.ts'
import type { Step } from '../memo/memo.ts'
import type { ShotReadings } from '../read/readShot.ts'
import { failureOf } from '../workers/errorData.ts'
import type { FitResult } from '../workers/tasks.ts'
import type { Equipped } from '../workers/withWorkers.ts'
import type { SetupMatch } from './matchSetup.ts'

const fitStep: Step<FitResult> = {
  name: 'fit',
  schema: async () => (await import('../memo/keptSchemas.ts')).keptFit,
}

/** Fits the cameras of a setup, where no earlier run has done it with the same readings. */
export async function fitSetup(
  plan: ShowPlan,
  setup: string,
  readings: readonly ShotReadings[],
  { pool, memo }: Equipped,
): Promise<{ matches: readonly SetupMatch[]; failures: readonly IsochipError[] }> {
  const shots = readings.map(({ camera, readings, bits, inputs, warnings }) => ({
    camera,
    setup,
    readings,
    bits,
    inputs,
    warnings,
  }))
  const { show, chart, light } = plan
  const { target, working, fit } = show
  const encodings = shots.map(({ camera }) => plan.encodings.get(camera)!.spec)
  const controls = shots.map(({ camera }) => show.cameras.find(({ id }) => id === camera)?.controls)
  const inputs = { setup, target, working, fit, chart, light, encodings, controls, shots }
  const { value } = await memo.memo(fitStep, inputs, () => pool.run('fit', { setup, shots }))
  return {
    matches: value.matches,
    failures: value.failures.map(failureOf),
  }
}
