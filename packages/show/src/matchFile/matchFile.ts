import type {
  CameraMatch,
  Encoding,
  FitOptions,
  PatchResult,
  PrimariesSpec,
  Stages,
  TargetSpec,
  Vec3,
} from '@isochip/core'
import type { InputFile } from '@isochip/report'

/** How one patch came out, as a match file has it: linear light in the working primaries. */
export interface MatchFilePatch {
  readonly patch: string
  readonly source: Vec3
  readonly target: Vec3
  readonly matched: Vec3
  readonly dE00: Stages
  readonly dE76: Stages
  readonly dEITP: Stages
  readonly leaveOneOut?: number
  readonly weight: number
  readonly excluded?: string
}

/** Where a match comes from: enough to tell whether it still belongs to its frames, nothing that time changes. */
export interface Provenance {
  readonly version: string
  readonly inputs: readonly InputFile[]
  readonly options: { readonly fit: FitOptions; readonly chart: string }
}

/**
 * In which space each colour of a match file is: all are linear light, in the primaries of the field that is named. The
 * model takes light in the primaries of `sourceEncoding`; the `source` of a patch is that same light after its conversion to
 * the working primaries, so that it stands beside `target` and `matched`.
 */
export const colourSpaces = {
  model: { from: 'sourceEncoding', to: 'working' },
  patches: { source: 'working', target: 'working', matched: 'working' },
} as const

/**
 * One camera in one setup: everything needed to bake its LUT again, or to put the match to work elsewhere. Numbers
 * have all their digits. y = M · (g ∘ (x + l)): linear light x in the primaries of `sourceEncoding`, y in `working`.
 */
export interface MatchFile {
  readonly isochip: 'match/1' | 'match/2'
  readonly title: string
  readonly camera: string
  readonly setup: string
  /** Is this the camera that the others go to? Its LUT converts the encoding and nothing else. */
  readonly isTarget: boolean
  /** The setup whose match this is, where the camera shot no chart in its own. */
  readonly borrowed?: string
  readonly sourceEncoding: Encoding['spec']
  readonly outputEncoding: Encoding['spec']
  /** Bits of the recording: they set where a narrow range has its ends. */
  readonly bits: number
  readonly working: PrimariesSpec
  readonly target: TargetSpec
  /** On which light the colour differences are computed. */
  readonly view: CameraMatch['view']
  readonly requested: CameraMatch['requested']
  readonly model: CameraMatch['model']
  /** In which space each colour of the file is; see `colourSpaces`. */
  readonly spaces: typeof colourSpaces
  readonly patches: readonly MatchFilePatch[]
  readonly summary: CameraMatch['summary']
  /** Where the curve was fitted along: its terms, and how sure they are. `sourceEncoding` has it. */
  readonly curve?: NonNullable<CameraMatch['curve']>
  /** Where the declared encoding is in doubt: what fits better, and what would help. */
  readonly encodingDoubt?: NonNullable<CameraMatch['encodingDoubt']>
  readonly diagnosis: CameraMatch['diagnosis']
  readonly onSet: CameraMatch['onSet']
  readonly warnings: CameraMatch['warnings']
  readonly provenance: Provenance
}

/** A patch in the order and under the names of the format. */
export function matchFilePatch(p: PatchResult): MatchFilePatch {
  return {
    patch: p.patch,
    source: p.source,
    target: p.target,
    matched: p.matched,
    dE00: p.dE00,
    dE76: p.dE76,
    dEITP: p.dEItp,
    ...(p.leaveOneOut === undefined ? {} : { leaveOneOut: p.leaveOneOut }),
    weight: p.weight,
    ...(p.excluded === undefined ? {} : { excluded: p.excluded }),
  }
}

/** The text of a match file: lists of numbers on one line each, so that a matrix looks like one. */
export function matchFileText(file: MatchFile): string {
  const text = JSON.stringify(file, null, 2)
  return `${text.replace(/\[\s+(-?\d[^[\]{}"]*?)\s+\]/g, (_, inner: string) => `[${inner.replace(/\s+/g, ' ')}]`)}\n`
}
