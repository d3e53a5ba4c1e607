import type { CameraMatch, Encoding, TargetSpec } from '@isochip/core'
import type { FittedCdl, LutQuality, NodeOptions } from '@isochip/export'
import { encodingText, targetText } from '@isochip/report'
import { version } from '../version.ts'

export interface LutOrigin {
  readonly title: string
  readonly camera: string
  readonly setup: string
  /** Is it a match, or the reference camera? */
  readonly kind: CameraMatch['kind']
  readonly borrowed?: string
  readonly target: TargetSpec
  readonly sourceEncoding: Encoding['spec']
  readonly outputEncoding: Encoding['spec']
  /** What was said of the match: whether its curve was measured. */
  readonly warnings?: readonly { readonly code: string }[]
}

/** What stands at the head of a LUT: where it comes from, what goes in and comes out, what it is not for. */
export function lutComments(origin: LutOrigin): string[] {
  const { camera, setup, kind, borrowed, warnings = [] } = origin
  const curveMeasured = warnings.some(({ code }) => code === 'levels-in-curve')
  return [
    // By this first line isochip knows its own (`files/ownMark.ts`).
    `Written by isochip ${version}.`,
    `${origin.title}: camera ${camera}, setup ${setup}`,
    kind === 'reference'
      ? 'This is the reference camera: the encoding is converted, nothing else.'
      : `to ${targetText(origin.target)}`,
    `in:  ${encodingText(origin.sourceEncoding, curveMeasured)}`,
    `out: ${encodingText(origin.outputEncoding)}`,
    ...(borrowed === undefined
      ? []
      : [`No chart was shot in this setup: the match is that of setup ${borrowed}.`]),
    'For the light in which the chart was shot. Check levels against the limits of your delivery.',
  ]
}

/** What stands at the head of a LUT with bounded nodes: what they are for, and what they cost. */
export function nodesComment({ nodes, nodeBits }: NodeOptions, { tetrahedral }: LutQuality): string[] {
  if (nodes !== 'bounded') return []
  const { everywhere, neutral, points } = tetrahedral
  const worst = (of: 'maxCode' | 'maxDE00') => Math.max(everywhere[of], neutral[of], points[of])
  const steps = nodeBits === undefined ? '' : `, in steps of ${nodeBits} bits`
  return [
    `Nodes within 0...1${steps}, for LUT boxes that store integers: off the match by up to ` +
      `${(1023 * worst('maxCode')).toFixed(1)} 10-bit codes (dE00 ${worst('maxDE00').toFixed(2)}) where the output holds the colour.`,
  ]
}

/** What stands in a CDL: how far it is off the match. */
export const cdlComment = ({ points, colours }: Pick<FittedCdl, 'points' | 'colours'>): string =>
  `Instead of the LUT, not beside it: code values of the camera in, of the output out. Off the match by mean ΔE00 ${points.mean.toFixed(2)}, ` +
  `worst ${points.max.toFixed(2)} over the chart; ${colours.mean.toFixed(2)} and ${colours.max.toFixed(2)} over all colours that the output holds.`
