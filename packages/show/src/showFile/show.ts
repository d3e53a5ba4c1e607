import type {
  Controls,
  FitOptions,
  LogParameters,
  PrimariesSpec,
  Range,
  TargetSpec,
  TransferName,
} from '@isochip/core'
import type { Tolerance } from '@isochip/report'

/**
 * A transfer characteristic as a show file may give it: a table is the path of a 1D `.cube` or CLF file; `measured` is a
 * curve that nobody knows, which the chart's grey scale tells.
 */
export type ShowTransfer =
  | TransferName
  | 'measured'
  | { readonly power: number }
  | { readonly log: LogParameters }
  | { readonly table: string }

/** An encoding as a show file may give it. */
export type ShowEncoding =
  | TransferName
  | 'measured'
  | { readonly transfer: ShowTransfer; readonly primaries?: PrimariesSpec; readonly range?: Range }

/** Outer corners of the patch grid in pixels, x right, y down, clockwise from the corner of the first patch. */
export type ShowCorners = readonly (readonly [x: number, y: number])[]

/** Where in a movie the chart stands; the first frame of it by default. */
export interface MoviePlace {
  /** Seconds from the start. */
  readonly seconds?: number
  /** Number of the frame, from 0. Not together with `seconds`. */
  readonly frame?: number
  /** Frames in a row, which are averaged; default 1. */
  readonly count?: number
}

export const ycbcrMatrices = ['bt709', 'bt2020', 'bt601'] as const

/** How the Y′CbCr of clips is to be read where their tags are missing or wrong. */
export interface YcbcrReading {
  /** Default: as the clip is tagged. */
  readonly matrix?: (typeof ycbcrMatrices)[number]
  /** Default: as the clip is tagged. */
  readonly range?: Range
}

/** A setup of a camera by frames of the chart: paths or patterns, relative to the show file. */
export interface FramesShot {
  readonly kind: 'frames'
  readonly setup: string
  readonly frames: readonly string[]
  /** Without them the chart is found in the frame. */
  readonly corners?: ShowCorners
  /** Which frames of a movie. */
  readonly at?: MoviePlace
}

/** A setup of a camera by readings that were taken elsewhere: path of a CSV file, relative to the show file. */
export interface ReadingsShot {
  readonly kind: 'readings'
  readonly setup: string
  readonly readings: string
}

/** A setup for which the camera shot no chart, and which takes over its match of another setup. */
export interface BorrowedShot {
  readonly kind: 'borrowed'
  readonly setup: string
  /** The setup, of the same camera, whose match is used. */
  readonly borrow: string
}

export type Shot = FramesShot | ReadingsShot | BorrowedShot

export interface ShowCamera {
  readonly id: string
  readonly encoding: ShowEncoding
  /** Of its clips, whose tags are missing or wrong. */
  readonly ycbcr?: YcbcrReading
  /** How its controls move, for advice in clicks. */
  readonly controls?: Controls
  readonly shots: readonly Shot[]
}

export const lutFormats = ['cube', 'clf', 'clf-live'] as const

export type LutFormat = (typeof lutFormats)[number]

/** How the name of a LUT of each format ends. */
export const lutEndings: Readonly<Record<LutFormat, string>> = {
  cube: '.cube',
  clf: '.clf',
  'clf-live': '.live.clf',
}

export const nodeKinds = ['float', 'bounded'] as const

/** Bounded nodes of larger lattices would take more memory than there is. */
export const largestBounded = 129

/** What a show can ask for: LUTs; a CDL of each match; a config for the whole show. */
export const outputFormats = [...lutFormats, 'cdl', 'ocio'] as const

export type OutputFormat = (typeof outputFormats)[number]

/** How the names of the files of a match end, in the order in which they are made. */
export const matchEndings = (formats: readonly OutputFormat[]): string[] =>
  formats.flatMap((format) =>
    format === 'ocio' ? [] : format === 'cdl' ? [...cdlEndings] : [lutEndings[format]],
  )

/** A list of one correction, and the correction alone. */
const cdlEndings = ['.cdl', '.cc'] as const

export interface ShowOutput {
  /** `target`: the encoding of the target camera; where no camera is the target, see `outputEncoding`. */
  readonly encoding: 'target' | ShowEncoding
  readonly formats: readonly OutputFormat[]
  /** Nodes along each axis of the lattice, 2…256; `auto`: as many as the match needs. */
  readonly size: number | 'auto'
  /** `bounded`: nodes stay within 0…1, for LUT boxes that store integers. Default `float`. */
  readonly nodes?: (typeof nodeKinds)[number]
  /** With bounded nodes: whole steps of so many bits, 8…16. */
  readonly nodeBits?: number
  /** Draw the sampled areas of each shot, and the frames on the pages? Default true; readings have none. */
  readonly pictures?: boolean
}

/** Line and column in the show file, both from 1. */
export interface ShowPlace {
  readonly line: number
  readonly column: number
}

/** A show file, checked, with every default filled in. */
export interface Show {
  readonly title: string
  /** Id of a built-in chart, or path of a chart file, relative to the show file. */
  readonly chart: string
  readonly target: TargetSpec
  readonly working: PrimariesSpec
  readonly fit: FitOptions
  readonly output: ShowOutput
  readonly tolerance: Tolerance
  readonly cameras: readonly ShowCamera[]
  /** Where things stand in the file, by their path in it (`cameras[0].shots[1]`); for messages only. */
  readonly places?: Readonly<Record<string, ShowPlace>>
}

/** The setup of shots that name none. */
export const defaultSetup = 'default'
