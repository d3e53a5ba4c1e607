import { type EarlierRound, given, type ModelKind } from '@isochip/core'
import type { OutputFormat, ShowCorners, ShowEncoding } from '@isochip/show'
import { computed, signal } from '@preact/signals'
import {
  type Failure,
  grabName,
  type MatchedShots,
  type ReadShot,
  type ShotSource,
  type ShowParts,
  shotKey,
} from './messages.ts'

/** One camera in one setup. */
export interface Shot {
  readonly setup: string
  readonly source: ShotSource
  /** What it is read from, in words. */
  readonly name: string
  /** As they were given; without them the chart is found. */
  readonly corners?: ShowCorners
  readonly state: 'reading' | 'read' | 'failed'
  readonly read?: ReadShot
  readonly failure?: Failure
  /** Counts the readings that were asked for, so that an answer that comes late is known as that. */
  readonly asked: number
  /** Shots of the same camera in the same setup before this one. */
  readonly rounds: readonly EarlierRound[]
}

export interface Camera {
  readonly key: number
  readonly id: string
  readonly encoding: ShowEncoding
  readonly shots: readonly Shot[]
  /** Setups whose match is that of another, by its name. */
  readonly borrowed?: Readonly<Record<string, string>>
}

export interface OpenedContent {
  readonly fit?: { readonly curve?: unknown; readonly model?: unknown }
  readonly output?: { readonly nodes?: unknown }
  readonly target?: object
}

export type TargetChoice = 'camera' | 'reference' | 'consensus'

/** What the page asks for beside the cameras; the rest of a show file that was opened is kept as it is. */
export interface Choices {
  readonly title: string
  readonly chart: string
  readonly target: TargetChoice
  /** Key of the reference camera. */
  readonly reference?: number
  /** White of the chart's values. */
  readonly white: string
  readonly model: ModelKind | 'auto'
  readonly curve: 'declared' | 'corrected' | 'measured'
  readonly formats: readonly OutputFormat[]
  /** Nodes within 0…1, for LUT boxes that store integers? */
  readonly bounded: boolean
  readonly mean: number
  readonly max: number
}

/** What is matched so far. */
export interface MatchedShow extends MatchedShots {
  /** One sentence for the whole show, when all of it is matched. */
  readonly sentence?: string
}

const usualModel = 'lift-gain-matrix'

export const cameras = signal<readonly Camera[]>([])
export const setups = signal<readonly string[]>(['default'])
export const choices = signal<Choices>({
  title: 'Untitled show',
  chart: 'chart24',
  target: 'camera',
  white: 'D65',
  model: usualModel,
  curve: 'declared',
  formats: ['cube', 'clf'],
  bounded: false,
  mean: 1,
  max: 3,
})
/** Of a show file that was opened: what the page neither shows nor lets change, it keeps. */
export const opened = signal<OpenedContent>({})
/** Chart and curve files by name. */
export const namedFiles = signal<Readonly<Record<string, Blob>>>({})
export const matched = signal<MatchedShow | undefined>(undefined)
/** What went wrong last that is about no single shot. */
export const fault = signal<Failure | undefined>(undefined)

export const referenceCamera = computed(
  () => cameras.value.find(({ key }) => key === choices.value.reference) ?? cameras.value[0],
)

/** Equal lists are one value: what depends on them is not worked out again. */
function stable(list: () => readonly string[]) {
  const text = computed(() => JSON.stringify(list()))
  return computed<ReadonlySet<string>>(() => new Set(JSON.parse(text.value) as string[]))
}

/**
 * Setups that others have shot and the reference camera has not: until it has, there is nothing to match them to, and a show
 * file may not have them.
 */
export const unreferenced = stable(() => {
  if (choices.value.target !== 'camera') return []
  const own = new Set(referenceCamera.value?.shots.map(({ setup }) => setup))
  const all = cameras.value.flatMap(({ shots }) => shots.map(({ setup }) => setup))
  return all.filter((setup) => !own.has(setup))
})

export const referenceId = computed(() => referenceCamera.value?.id)

/** All readings at hand that can be matched, under the names that cameras and setups now have. */
export const readingsAtHand = () =>
  cameras.value.flatMap(({ id, shots }) =>
    shots.flatMap(({ setup, read, state }) =>
      read === undefined || state !== 'read' || unreferenced.value.has(setup)
        ? []
        : [{ ...read.readings, camera: id, setup }],
    ),
  )

/** Readings that were taken from a running input, by `shotKey`. */
export const liveShots = computed(() =>
  cameras.value.flatMap(({ id, shots }) =>
    shots.flatMap(({ setup, source }) => ('grab' in source ? [shotKey(id, setup)] : [])),
  ),
)

export const reading = computed(
  () => cameras.value.flatMap(({ shots }) => shots).filter(({ state }) => state === 'reading').length,
)

const fileNames = (source: ShotSource, camera: string, setup: string): readonly string[] =>
  'files' in source ? source.files.map(({ path }) => path) : [grabName(camera, setup)]

/** The show as its file would have it: with what can be matched. */
export const parts = computed<ShowParts>(() => {
  const { title, chart, target, white, model, curve, formats, bounded, mean, max } = choices.value
  const kept = opened.value
  const { curve: _, model: __, ...fit } = kept.fit ?? {}
  const { nodes: ___, ...output } = kept.output ?? {}
  const shown = cameras.value
    .map((camera) => ({
      ...camera,
      shots: camera.shots.filter(({ setup }) => !unreferenced.value.has(setup)),
    }))
    .filter(({ shots }) => shots.length > 0)
  const targets = {
    camera: { camera: referenceCamera.value?.id ?? '' },
    reference: { reference: white },
    consensus: {
      ...(kept.target !== undefined && 'consensus' in kept.target ? kept.target : {}),
      consensus: true,
    },
  }
  return {
    files: namedFiles.value,
    show: {
      ...kept,
      isochip: 1,
      title,
      chart,
      target: targets[target],
      // What is as it is by default stands in the file only where it stood before: match files tell what was asked for.
      fit: {
        ...fit,
        ...(model === usualModel && kept.fit?.model === undefined ? {} : { model }),
        ...(curve === 'declared' && kept.fit?.curve === undefined ? {} : { curve }),
      },
      output: { ...output, formats, ...(bounded ? { nodes: 'bounded' } : {}) },
      tolerance: { mean, max },
      cameras: shown.map(({ id, encoding, shots, borrowed = {} }) => ({
        id,
        encoding,
        shots: [
          ...shots.map(({ setup, source, corners }) => {
            const names = fileNames(source, id, setup)
            const csv = names.length === 1 && /\.csv$/i.test(names[0]!)
            return {
              setup,
              ...(csv ? { readings: names[0] } : { frames: names }),
              ...given({ corners }),
            }
          }),
          ...Object.entries(borrowed)
            .filter(([setup]) => !shots.some((shot) => shot.setup === setup))
            .map(([setup, borrow]) => ({ setup, borrow })),
        ],
      })),
    },
  }
})
