import type { CameraMatch, Vec3 } from '@isochip/core'

/** Linear light of a patch in the working primaries: as shot, matched, and where it should be. */
export interface PatchLight {
  readonly patch: string
  readonly source: Vec3
  readonly matched: Vec3
  readonly target: Vec3
  /** Why the patch had no part in the match. */
  readonly excluded?: string
}

/** The light of each patch of a match. That of the reference camera stays as it is: it is what the others go to. */
export const patchLights = (match: CameraMatch): readonly PatchLight[] =>
  match.kind === 'fitted'
    ? match.patches
    : match.patches.map((one) => ({ ...one, matched: one.source, target: one.source }))
