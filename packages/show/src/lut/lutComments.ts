import type { Encoding, TargetSpec } from '@isochip/core'
import { version } from '../version.ts'

export interface LutOrigin {
  readonly title: string
  readonly camera: string
  readonly setup: string
  readonly isTarget: boolean
  readonly borrowed?: string
  readonly target: TargetSpec
  readonly sourceEncoding: Encoding['spec']
  readonly outputEncoding: Encoding['spec']
  /** What was said of the match: whether its curve was measured. */
  readonly warnings?: readonly { readonly code: string }[]
}

/** What stands at the head of a LUT: where it comes from, what goes in and comes out, what it is not for. */
export function lutComments(origin: LutOrigin): string[] {
  const { camera, setup, isTarget, borrowed, warnings = [] } = origin
  const curveMeasured = warnings.some(({ code }) => code === 'levels-in-curve')
  return [
    // By this first line isochip knows its own (`files/ownMark.ts`).
    `Written by isochip ${version}.`,
    `${origin.title}: camera ${camera}, setup ${setup}`,
    isTarget
      ? 'This camera is the target: the encoding is converted, nothing else.'
      : `to ${targetText(origin.target)}`,
    `in:  ${encodingText(origin.sourceEncoding, curveMeasured)}`,
    `out: ${encodingText(origin.outputEncoding)}`,
    ...(borrowed === undefined
      ? []
      : [`No chart was shot in this setup: the match is that of setup ${borrowed}.`]),
    'For the light in which the chart was shot. Check levels against the limits of your delivery.',
  ]
}

function targetText(target: TargetSpec): string {
  if ('camera' in target) return `camera ${target.camera}`
  return 'reference' in target
    ? `the values of the chart under ${target.reference}`
    : 'the mean of all cameras'
}

/** An encoding on one line. A table is a file's, or was measured on the chart. */
export function encodingText(
  { transfer, primaries, range }: Encoding['spec'],
  curveMeasured = false,
): string {
  const curve =
    typeof transfer === 'string'
      ? transfer
      : 'power' in transfer
        ? `power ${transfer.power}`
        : 'log' in transfer
          ? 'log curve'
          : curveMeasured
            ? 'curve measured on the chart'
            : 'curve by a table'
  return `${curve}, primaries ${typeof primaries === 'string' ? primaries : 'by chromaticities'}, ${range} range`
}
