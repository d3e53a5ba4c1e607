import { stat } from 'node:fs/promises'
import { basename, join, relative, resolve, sep } from 'node:path'
import {
  builtinCharts,
  type Chart,
  encodingsOnChart,
  IsochipError,
  isIsochipError,
  resolvePrimaries,
  targetFromReference,
} from '@isochip/core'
import { type ChartMap, type Corners, type Frame, findChart, sampleChart } from '@isochip/frames'
import { colourTags } from '@isochip/frames/node'
import { glob } from 'tinyglobby'
import { checkCancelled } from '../progress/checkCancelled.ts'
import { eachBounded } from '../progress/eachBounded.ts'
import { frameEndings, kindOf, openFrame } from '../read/openFrame.ts'
import { shotsOfPaths } from './shotsOfPaths.ts'
import { type ProposedShot, showProposal } from './showProposal.ts'

export interface ProposeShowOptions {
  /** The chart to look for, and its id or path as the show is to have it; default all built-in ones. */
  readonly chart?: { readonly chart: Chart; readonly name: string }
  /** Folder in which the show file is to lie, from which its paths start. Default the folder of the frames. */
  readonly base?: string
  readonly signal?: AbortSignal
  /** Before a shot is looked at. @param before those that were begun before it */
  readonly onShot?: (before: number, all: number, shot: string) => void
}

export interface ShowProposal {
  /** Text of the show file. */
  readonly text: string
  readonly shots: readonly ProposedShot[]
}

/** Clips of a card that are looked at for a chart. */
const mostOfCard = 8

/** While a chart is looked for in one frame, the next one is decoded. */
const atOnce = 2

/**
 * Looks at the frames in a folder and below it, finds charts in them, and proposes a show file. What could not be told
 * stands in it as a line to be filled in. Folders called `isochip-out`, and hidden ones, are passed over.
 *
 * @throws IsochipError `frame-unreadable` where there is no folder, or no frame in it
 */
export async function proposeShow(folder: string, options: ProposeShowOptions = {}): Promise<ShowProposal> {
  if (!(await stat(folder).catch(() => undefined))?.isDirectory())
    throw new IsochipError('frame-unreadable', 'there is no such folder', {
      hint: 'give the folder in which the frames of the charts are',
      place: { file: folder },
    })
  const { chart, base = folder, signal, onShot = () => undefined } = options
  const found = await glob([`**/*.{${frameEndings.join(',')}}`], {
    cwd: folder,
    onlyFiles: true,
    caseSensitiveMatch: false,
    ignore: ['**/isochip-out/**', '**/*.sampling.png'],
  })
  if (found.length === 0)
    throw new IsochipError('frame-unreadable', 'there is no frame in this folder', {
      hint: `frames are files that end in ${frameEndings.join(', ')}`,
      place: { file: folder },
    })
  const groups = new Map<string, { camera: string; setup: string; card: boolean; files: string[] }>()
  const paths = found.sort()
  const named = shotsOfPaths(paths)
  for (const [i, file] of paths.entries()) {
    const shot = named[i]!
    const key = JSON.stringify(shot)
    const group = groups.get(key) ?? { ...shot, files: [] }
    group.files.push(file)
    groups.set(key, group)
  }
  let begun = 0
  const shots = await eachBounded([...groups.values()], atOnce, async (group): Promise<ProposedShot> => {
    const { camera, setup, card, files } = group
    checkCancelled(signal)
    onShot(begun++, groups.size, `${setup}, ${camera}`)
    const charts = chart === undefined ? builtinCharts : [chart.chart]
    const lookAt = (file: string) => look(join(folder, file), file, charts, chart?.name)
    let [first] = files as [string]
    let sight = await lookAt(first)
    // Of a card the first clip with a chart is taken: its others are of other setups, or of none.
    for (const file of card ? files.slice(1, mostOfCard) : []) {
      if ('chart' in sight.seen) break
      checkCancelled(signal)
      const other = await lookAt(file)
      if ('chart' in other.seen) [first, sight] = [file, other]
    }
    const frames = card ? [first] : files
    const tags = await colourTags(join(folder, first), signal)
    return {
      camera,
      setup,
      frames: frames.map((file) => relative(base, join(folder, file)).split(sep).join('/')),
      others: files.length - frames.length,
      ...sight,
      ...(tags === undefined ? {} : { tags }),
    }
  })
  const title = basename(resolve(folder))
  return { text: showProposal(title, shots), shots }
}

async function look(
  path: string,
  name: string,
  charts: readonly Chart[],
  called: string | undefined,
): Promise<Pick<ProposedShot, 'seen' | 'linear' | 'tried'>> {
  let frame: Frame | undefined
  try {
    frame = await openFrame({ path, name })
    const { chart, confidence, corners, map } = findChart(frame, charts)
    const tried = encodingsSeen(frame, chart, corners, map)
    return {
      ...(tried === undefined ? {} : { tried }),
      seen: { chart: called ?? chart.id, confidence: confidence.value },
      linear: linearIn(frame, path),
    }
  } catch (cause) {
    if (!isIsochipError(cause)) throw cause
    // Of a clip that cannot be opened a later frame is of no use either.
    const later = frame !== undefined && (await kindOf(path)) === 'movie'
    return {
      seen: { problem: `${name}: ${cause.message}`, later },
      linear: frame !== undefined && linearIn(frame, path),
    }
  }
}

/** Encodings, by what a match to the chart's values leaves with them; `undefined` where the patches carry no match. */
function encodingsSeen(
  frame: Frame,
  chart: Chart,
  corners: Corners,
  map: ChartMap | undefined,
): ProposedShot['tried'] {
  if (chart.reference === undefined) return undefined
  const working = resolvePrimaries('bt709')
  try {
    const sampled = { frames: [frame], chart, corners, range: 'full' as const }
    const { readings } = sampleChart(map === undefined ? sampled : { ...sampled, map })
    return encodingsOnChart(chart, readings, targetFromReference(chart, 'D65', working), working)
  } catch (error) {
    if (!isIsochipError(error)) throw error
    return undefined
  }
}

/** Camera raw, OpenEXR and floating-point TIFF hold linear light. */
const linearIn = ({ bits, linear = false }: Frame, path: string) =>
  linear || (bits === 'float' && /\.(exr|tiff?)$/i.test(path))
