import type { Chart } from '../chart/chart.ts'
import type { Primaries } from '../colour/primaries.ts'
import { labSeenBy } from '../colour/viewing.ts'
import { IsochipError, type Warning } from '../errors.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { Measure } from '../problem/matchProblem.ts'
import type { PatchLight } from '../samples/patchLights.ts'
import { type Target, targetFromReference } from '../target/target.ts'
import { type Misreading, misreading } from './misreading.ts'

/** What a match is made of, as far as it tells a misread chart. */
export interface ReadChart {
  readonly chart: Chart
  /** As linear light; those that cannot serve are left out of the judgement. */
  readonly lights: readonly PatchLight[]
  readonly target: Target
  readonly working: Primaries
  readonly measure: Measure
}

/** Was the camera's chart misread, or the target's? As `misreading`, for a match's own input. */
export function misreadChart({ chart, lights, target, working, measure }: ReadChart): Misreading | undefined {
  const byName = new Map<string, Vec3>()
  for (const { patch, light, unusable } of lights) if (unusable === undefined) byName.set(patch, light)
  const hasValues = chart.reference !== undefined && chart.patches.some(({ value }) => value !== undefined)
  const inOrder = (of: ReadonlyMap<string, Vec3>) => chart.patches.map(({ name }) => of.get(name))
  return misreading({
    chart,
    source: inOrder(byName),
    target: inOrder(target.light),
    declared: measure.declared,
    published: hasValues ? inOrder(targetFromReference(chart, 'D65', working).light) : undefined,
    lab: labSeenBy(measure.viewing),
  })
}

const codes = { camera: 'chart-misread', target: 'target-misread', either: 'chart-misread' } as const

const subjects = {
  camera: 'the chart seems',
  target: 'the target’s chart seems',
  either: 'this chart, or in the opposite way the target’s, seems',
}

function words({ of, words: how, asRead, soRead }: Misreading): string {
  return `${subjects[of]} to have been read ${how}: understood so, its patches come to a mean ΔE00 of ${soRead.toFixed(1)}, as read to ${asRead.toFixed(1)}`
}

/** The warning that a chart was not read as it stands in the frame. */
export interface MisreadWarning extends Warning {
  readonly code: (typeof codes)[keyof typeof codes]
}

/** For a match that passes. */
export function misreadWarning(found: Misreading): MisreadWarning {
  return { code: codes[found.of], message: words(found) }
}

/** Of the warnings of a match, the one about that. */
export const saysMisread = (warning: Warning): warning is MisreadWarning =>
  warning.code === codes.camera || warning.code === codes.target

/** For patches that carry no match, or no advice. */
export function misreadError({ code, message }: MisreadWarning, cause?: unknown): IsochipError {
  return new IsochipError(code, message, {
    hint: 'give the corners clockwise from the top left one of the chart as it is printed, or put the readings into the chart’s order',
    cause,
  })
}
