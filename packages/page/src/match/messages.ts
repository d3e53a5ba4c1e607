import type { EarlierRound, Encoding, MatchModel, Primaries, Turn, Vec3 } from '@isochip/core'
import type { LatticeLut } from '@isochip/export'
import type { Instruction, Verdict } from '@isochip/report'
import type { SetupReadings, ShowCorners, ShowEncoding } from '@isochip/show'
import type { Planes } from '../live/form/planes.ts'
import type { SignalForm } from '../live/form/signalForm.ts'
import type { Sight } from '../live/sight.ts'
import type { ChartVerdict } from '../live/worker/formByChart.ts'
import type { Grab } from '../live/worker/liveMessages.ts'
import type { ScopeStandard } from '../scopes/standard.ts'
import type { Area } from './area.ts'

/** A show as its file has it, and the files that it names. */
export interface ShowParts {
  /** Content of a show file. */
  readonly show: object
  /** Chart and curve files by the name that the show has for them. */
  readonly files: Readonly<Record<string, Blob>>
}

/** A file by the path that it has in a show, or its name. */
export interface NamedFile {
  readonly path: string
  readonly file: Blob
}

/** What is to be read of one camera in one setup. */
export type ShotSource =
  | { readonly files: readonly NamedFile[] }
  /** Of a running input, or of a clip at a time in seconds. */
  | { readonly grab: Grab; readonly clip?: NamedFile & { readonly seconds: number } }

export type Ask =
  | {
      /** Needs nothing of the other cameras: theirs may not be read yet, or be in error. */
      readonly kind: 'read'
      readonly chart: string
      readonly files: ShowParts['files']
      readonly encoding: ShowEncoding
      readonly camera: string
      readonly setup: string
      readonly source: ShotSource
      /** Tells the source from others: a worker that has it decoded need not do it again. */
      readonly sourceNumber: number
      /** Without them the chart is looked for. */
      readonly corners?: ShowCorners
    }
  | {
      readonly kind: 'match'
      readonly parts: ShowParts
      readonly readings: readonly SetupReadings[]
      /** Earlier shots of a camera in a setup, by `shotKey`, and what was then to be turned. */
      readonly rounds: Readonly<Record<string, readonly EarlierRound[]>>
    }
  | { readonly kind: 'preview'; readonly lut: LutRecipe; readonly picture: ImageBitmap }
  | {
      readonly kind: 'deliver'
      readonly parts: ShowParts
      readonly readings: readonly SetupReadings[]
      /** Which of them were taken from a running input, by `shotKey`: no file has them yet. */
      readonly live: readonly string[]
    }
  | {
      /** The LUT of a camera for its running picture. */
      readonly kind: 'lattice'
      readonly lut: LutRecipe
    }
  | {
      /** Scopes of a still. */
      readonly kind: 'scopes'
      readonly picture: ImageBitmap
      readonly range: 'narrow' | 'full'
      readonly standard: ScopeStandard
      /** Of the reference camera, behind. */
      readonly target?: ImageBitmap
    }
  | { readonly kind: 'open'; readonly text: string; readonly name: string }
  | { readonly kind: 'example' }
  /** What comes is done once, so that it goes fast. */
  | { readonly kind: 'rehearse' }
  | {
      /** A frame of a clip, by its codes. */
      readonly kind: 'grab'
      readonly frame: VideoFrame
      readonly form: SignalForm
    }
  | {
      /** What the chart in a running input says of its signal. */
      readonly kind: 'form'
      readonly grab: Grab
      /** What the grab was made by. */
      readonly form: SignalForm
      readonly signal: Planes['kind']
      readonly chart: string
      readonly files: ShowParts['files']
      readonly encoding: ShowEncoding
    }
  | {
      readonly kind: 'follow'
      /** Closed by whoever reads it. */
      readonly frame: VideoFrame
      readonly form: SignalForm
      readonly chart: string
      readonly files: ShowParts['files']
      /** Where the chart was, in pixels of the frame. */
      readonly corners?: ShowCorners
    }

/** A reading of a running input has no frame on a disk: the show has its readings, which are saved with it. */
export const grabName = (camera: string, setup: string): string => `${setup}/${camera}.csv`

/** A camera in a setup as one word. */
export const shotKey = (camera: string, setup: string): string => `${setup}\n${camera}`

export interface ReadShot {
  readonly readings: SetupReadings
  /** Of frames only. */
  readonly frame?: {
    readonly width: number
    readonly height: number
    readonly areas: readonly Area[]
    readonly corners: ShowCorners
    /** The first frame, reduced, as recorded. */
    readonly picture: ImageBitmap
  }
  /** What is to be known of the shot, in words. */
  readonly cautions: readonly string[]
}

/** What a LUT is baked from. */
interface LutRecipe {
  readonly source: Encoding['spec']
  readonly model: MatchModel
  readonly working: Primaries
  readonly output: Encoding['spec']
  readonly bits: number
}

/** One camera in one setup, judged; the reference camera is not. */
export interface Judged {
  readonly camera: string
  readonly setup: string
  readonly state: Verdict['state']
  /** The state in words. */
  readonly word: string
  /** One sentence: what to do now. */
  readonly next?: string
  readonly doubts: readonly string[]
  readonly cautions: readonly string[]
  /** ΔE00. */
  readonly before: { readonly mean: number; readonly max: number }
  readonly after: { readonly mean: number; readonly max: number; readonly worst: string }
  /** Mean ΔE00 expected on materials that are not on the chart. */
  readonly expected?: number
  /** What to set at the camera instead of using a LUT, in this order; absent where nothing can be said. */
  readonly set?: {
    readonly instructions: readonly Instruction[]
    /** Mean ΔE00 expected of whoever does all of it. */
    readonly expected: number
    readonly asked: Turn
    /** How many groups of controls were turned after each earlier shot, as this one tells. */
    readonly done: readonly number[]
    /** Was the camera touched otherwise than was asked after each earlier shot? */
    readonly touched: readonly boolean[]
  }
  readonly patches: readonly { readonly patch: string; readonly before: number; readonly after: number }[]
  readonly lut: LutRecipe
  /** Patches on the scopes. */
  readonly dots: readonly PatchDot[]
  /** By which scopes show what comes out of the LUT. */
  readonly output: ScopeStandard
  /** Where the chart contradicts the declared encoding: those that explain it better, the best first; there may be none. */
  readonly encodings?: readonly { readonly transfer: string; readonly range: string; readonly mean: number }[]
}

/** Some of a show, matched. */
export interface MatchedShots {
  readonly judged: readonly Judged[]
  readonly failed: readonly { readonly camera: string; readonly setup: string; readonly message: string }[]
}

interface OpenedShow {
  /** Content of the show file, with its defaults as they were. */
  readonly show: object
}

interface Example {
  readonly show: string
  readonly frames: readonly NamedFile[]
}

/** A patch on the scopes, nominal R′G′B′: as it was shot and what it aims at in the camera’s encoding, and both in that of the LUT’s output. */
export interface PatchDot {
  readonly patch: string
  readonly shot: Vec3
  readonly shotAim: Vec3
  readonly matched: Vec3
  readonly matchedAim: Vec3
}

interface Followed {
  /** Absent where no chart is seen. */
  readonly sight?: Sight
  /** Milliseconds that the look itself took. */
  readonly took: number
}

/** What each kind of request comes to. */
export interface Answers {
  readonly read: ReadShot
  readonly match: MatchedShots
  readonly preview: ImageBitmap
  readonly deliver: Blob
  readonly open: OpenedShow
  readonly example: Example
  readonly follow: Followed
  readonly form: ChartVerdict
  readonly rehearse: { readonly judged: number }
  readonly grab: Grab
  readonly lattice: { readonly lattice?: LatticeLut }
  readonly scopes: ImageBitmap
}

export interface Failure {
  readonly message: string
  readonly hint?: string
}

/** What a request came to. */
export type Outcome = { readonly value: Answers[keyof Answers] } | { readonly failure: Failure }

/** From a worker. It is given nothing before it has said that it is loaded. */
export type Told = { readonly ready: true } | Outcome
