import {
  apply3,
  type Chart,
  isNeutral,
  type PatchResult,
  type PatchRole,
  type PrimariesSpec,
  primariesConversion,
  resolvePrimaries,
  type Vec3,
  type YCbCr,
  ycbcrOfCode,
} from '@isochip/core'
import type { PatchLight } from '../patchLights.ts'
import { codeOfLight } from './codeOfLight.ts'
import { screenColour } from './screen.ts'

/** As shot, matched, and where it should be. */
export interface Trio<T> {
  readonly source: T
  readonly matched: T
  readonly target: T
}

/** A patch as the pictures need it. */
export interface PatchSignals {
  /** Place in the chart: the same number in every camera. */
  readonly index: number
  readonly name: string
  /** What it is for in the chart. */
  readonly role?: PatchRole
  readonly neutral: boolean
  /** Why the patch had no part in the match. */
  readonly excluded?: string
  /** What came of its match. */
  readonly result?: PatchResult
  /** R′G′B′ by the OETF of BT.709. */
  readonly code: Trio<Vec3>
  readonly ycbcr: Trio<YCbCr>
  /** For the screen. */
  readonly colour: Trio<string>
}

/** A patch with what came of its match. */
export interface FittedSignals extends PatchSignals {
  readonly result: PatchResult
}

function trio<A, B>(from: Trio<A>, map: (value: A) => B): Trio<B> {
  return { source: map(from.source), matched: map(from.matched), target: map(from.target) }
}

/** The patches of a match, in chart order, as BT.709 signals. Patches that the chart does not have are left out. */
export function patchSignals(
  patches: readonly PatchLight[],
  chart: Chart,
  working: PrimariesSpec,
): PatchSignals[] {
  const toBt709 = primariesConversion(resolvePrimaries(working), resolvePrimaries('bt709'))
  const lights = new Map(patches.map((one) => [one.patch, one]))
  return chart.patches.flatMap((patch, index) => {
    const own = lights.get(patch.name)
    if (own === undefined) return []
    const light = trio<Vec3, Vec3>(own, (value) => apply3(toBt709, value))
    const code = trio(light, codeOfLight)
    return {
      index,
      name: patch.name,
      ...(patch.role === undefined ? {} : { role: patch.role }),
      neutral: isNeutral(patch),
      ...(own.excluded === undefined ? {} : { excluded: own.excluded }),
      code,
      ycbcr: trio(code, ycbcrOfCode),
      colour: trio(light, screenColour),
    }
  })
}

/** The same of patches that were fitted, with what came of it. */
export function fittedSignals(
  patches: readonly PatchResult[],
  chart: Chart,
  working: PrimariesSpec,
): FittedSignals[] {
  const results = new Map(patches.map((result) => [result.patch, result]))
  return patchSignals(patches, chart, working).map((one) => ({ ...one, result: results.get(one.name)! }))
}
