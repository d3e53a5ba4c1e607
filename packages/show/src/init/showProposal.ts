import { builtinCharts, primariesNames, type TriedEncoding, transferNames } from '@isochip/core'
import type { ColourTags } from '@isochip/frames/node'
import { nameFault } from '../showFile/safeName.ts'

/** Frames that seem to be of one camera and setup, and what was seen in the first of them. */
export interface ProposedShot {
  readonly camera: string
  readonly setup: string
  /** Paths from the folder of the show file, with forward slashes. */
  readonly frames: readonly string[]
  readonly seen:
    | { readonly chart: string; readonly confidence: number }
    /** Why there is no chart, in the words of the error; may it come later in the movie, whose first frame was looked at? */
    | { readonly problem: string; readonly later: boolean }
  /** More clips on the same card, which are not taken. */
  readonly others: number
  /** The file's format says that its samples are linear light. */
  readonly linear: boolean
  /** Encodings that were tried on the chart, with the mean ΔE00 that a match to its values leaves; best first. */
  readonly tried?: readonly TriedEncoding[]
  /** The encoding that the file names. */
  readonly tags?: ColourTags
}

/** More frames than this average nothing more away that one could see. */
const mostFrames = 8

/**
 * A show file to be completed: what could be seen stands in it, with how it was seen; what could not is a line that says
 * FILL IN, and until it is filled in the show does not pass as valid. Shots without a chart are comments.
 *
 * @param shots in the order of the show
 */
export function showProposal(title: string, shots: readonly ProposedShot[]): string {
  const cameras = [...new Set(shots.map(({ camera }) => camera))]
  const usable = cameras.filter((camera) =>
    shots.some((shot) => shot.camera === camera && 'chart' in shot.seen),
  )
  return `${[
    '# A proposal, made by looking at the frames. Read it before you use it; every',
    '# line that says FILL IN needs you, and the show is not valid before.',
    'isochip: 1',
    `title: ${scalar(title)}`,
    ...chartLines(shots),
    ...targetLines(usable),
    '# LUTs are .cube files; others are clf, clf-live (LUT boxes), cdl, and ocio beside cube or clf:',
    '# output: { formats: [cube, clf] }',
    '# Camera and setup are taken from the names of folders and files: check them.',
    'cameras:',
    ...cameras.flatMap((camera) => {
      const lines = cameraLines(
        camera,
        shots.filter((shot) => shot.camera === camera),
      )
      return usable.includes(camera) ? lines : lines.map((line) => `  #${line.slice(2)}`)
    }),
  ].join('\n')}\n`
}

function chartLines(shots: readonly ProposedShot[]): string[] {
  const counts = new Map<string, number>()
  for (const { seen } of shots) {
    if ('chart' in seen) counts.set(seen.chart, (counts.get(seen.chart) ?? 0) + 1)
  }
  const [first, ...others] = [...counts].sort((a, b) => b[1] - a[1])
  if (first === undefined)
    return [
      `chart:    # FILL IN: ${builtinCharts.map(({ id }) => id).join(', ')}, or a chart file; none was found`,
    ]
  const found = `found in ${first[1]} of ${shots.length} setups`
  const also = others.map(([chart, count]) => `${chart} in ${count}`).join(', ')
  return [
    `chart: ${scalar(first[0])}    # ${found}`,
    ...(also === '' ? [] : [`# Also found: ${also}. A show has one chart: shoot, or keep, one of them.`]),
  ]
}

function targetLines(cameras: readonly string[]): string[] {
  return [
    'target:    # FILL IN what is right, one of:',
    ...cameras
      .slice(0, 1)
      .map(
        (camera) =>
          `  # { camera: ${scalar(camera)} }      the reference camera: the others are matched to it`,
      ),
    '  # { reference: D65 }     the values of the chart in that light',
    '  # { consensus: true }    the mean of all cameras',
  ]
}

function cameraLines(camera: string, shots: readonly ProposedShot[]): string[] {
  const fault = nameFault(camera)
  return [
    `  - id: ${scalar(camera)}${fault === undefined ? '' : `    # FILL IN another name: this one ${fault}`}`,
    ...encodingLines(shots),
    '    shots:',
    ...shots.flatMap(shotLines),
  ]
}

/** What all frames of a camera say of their encoding, or what to choose from. */
function encodingLines(shots: readonly ProposedShot[]): string[] {
  const primaries = `primaries:  }    # FILL IN: ${primariesNames.join(', ')}`
  if (shots.every(({ linear }) => linear))
    return [
      '    # Floating-point samples: linear light. Its primaries were not told.',
      `    encoding: { transfer: linear, ${primaries}`,
    ]
  const [first, ...others] = shots.map(({ tags }) => tags)
  const same = others.every((tags) => JSON.stringify(tags) === JSON.stringify(first))
  if (first === undefined || !same)
    return [
      ...triedLines(shots),
      '    encoding:    # FILL IN how the camera recorded, one of:',
      ...listed(transferNames, 70).map((line) => `      # ${line}`),
      '      # measured, where nobody knows; or { transfer, primaries, range }',
    ]
  const transfer = typeof first.transfer === 'string' ? first.transfer : `{ power: ${first.transfer.power} }`
  return [
    `    # By the ${first.source}. Check it: a camera that records log often says bt709 all the same.`,
    ...triedLines(shots, { transfer: first.transfer, range: first.range ?? 'full' }),
    first.primaries === undefined
      ? `    encoding: { transfer: ${transfer}, range: ${first.range}, ${primaries}`
      : `    encoding: { transfer: ${transfer}, primaries: ${first.primaries}, range: ${first.range} }`,
  ]
}

/** Within this factor of the best one's residual the chart does not tell encodings apart. */
const alike = 1.25

/** What the chart says of the encoding, and whether it speaks against the one that the file names. */
function triedLines(shots: readonly ProposedShot[], named?: TriedEncoding['encoding']): string[] {
  const tried = shots.find((shot) => shot.tried !== undefined)?.tried
  const [best] = tried ?? []
  if (tried === undefined || best === undefined) return []
  const text = ({ encoding: { transfer, range }, mean }: TriedEncoding) => {
    const curve =
      typeof transfer === 'string' ? transfer : 'power' in transfer ? `power ${transfer.power}` : 'own curve'
    return `${curve}${range === 'full' ? '' : ` ${range}`} ${mean.toFixed(2)}`
  }
  const likely = tried.filter(({ mean }) => mean <= alike * best.mean)
  const sure =
    likely.length === 1
      ? 'clearly the best'
      : `${likely.length} that the chart does not tell apart, best first`
  const own = tried.find(
    ({ encoding }) =>
      named !== undefined &&
      encoding.range === named.range &&
      JSON.stringify(encoding.transfer) === JSON.stringify(named.transfer),
  )
  return [
    '    # Tried on the chart, mean ΔE00 that a match to its values leaves:',
    `    # ${likely.slice(0, 4).map(text).join(', ')}`,
    `    # (${sure})`,
    ...(own !== undefined && own.mean > alike * best.mean
      ? [`    # DOUBT: as the file says, ${text(own)}: a picture style, a knee, or a wrong tag?`]
      : []),
  ]
}

function shotLines({ setup, frames, others, seen }: ProposedShot): string[] {
  const fault = nameFault(setup)
  const shown = frames.slice(0, mostFrames)
  const more = frames.length - shown.length
  const lines = [
    `      - setup: ${scalar(setup)}${fault === undefined ? '' : `    # FILL IN another name: this one ${fault}`}`,
    ...(shown.length === 1
      ? [`        frames: [${scalar(shown[0]!)}]`]
      : ['        frames:', ...shown.map((frame) => `          - ${scalar(frame)}`)]),
    ...(others > 0 ? [`        # not taken: ${others} more on this card`] : []),
    ...(more > 0 ? [`          # and ${more} more; ${mostFrames} are averaged, which is enough`] : []),
  ]
  if ('chart' in seen)
    return [
      ...lines,
      `        # ${seen.chart} found in ${others > 0 ? 'it' : 'the first'}, confidence ${seen.confidence.toFixed(2)}`,
    ]
  const corners = '        corners: [[x, y], [x, y], [x, y], [x, y]]    # FILL IN'
  return [
    `      # ${seen.problem.replace(/\s+/g, ' ')}`,
    ...(seen.later
      ? [
          '      # Only the first frame was looked at. Does the chart come later? Then take the # away and',
          '      # say when; give the outer corners of its patches as well where it is not found there.',
        ]
      : ['      # Is it a chart? Then take the # away and give the outer corners of its patches.']),
    ...[...lines, seen.later ? '        at: { seconds:  }    # FILL IN' : corners].map(
      (line) => `      #${line.slice(6)}`,
    ),
  ]
}

/** A list as lines of at most `width` characters. */
function listed(words: readonly string[], width: number): string[] {
  const lines: string[] = []
  for (const word of words) {
    const last = lines.at(-1)
    if (last !== undefined && `${last}, ${word}`.length <= width) lines[lines.length - 1] = `${last}, ${word}`
    else lines.push(word)
  }
  return lines
}

/** A text in YAML: bare where it cannot be anything else, else in quotes as JSON has them, which is YAML too. */
function scalar(text: string): string {
  const bare = /^(\.\.\/)*[\p{L}_][\p{L}\p{N}_./-]*( [\p{L}\p{N}_./-]+)*$/u.test(text)
  const word = /^(true|false|null|yes|no|on|off|y|n)$/i.test(text)
  return bare && !word ? text : JSON.stringify(text)
}
