import type { ShowCorners, ShowEncoding } from '@isochip/show'
import { batch } from '@preact/signals'
import { addCamera, shoot, shootClip, shootFiles } from './actions.ts'
import { isClip } from './clipGrab.ts'
import type { NamedFile } from './messages.ts'
import { cameras, choices, fault, namedFiles, opened, setups, type TargetChoice } from './state.ts'
import { ask, failureOf } from './workers.ts'

const isShow = ({ path }: NamedFile) => /\.(ya?ml|json)$/i.test(path)
const isFrame = (file: NamedFile) => /\.(png|tiff?|jpe?g|webp|csv)$/i.test(file.path) || isClip(file)

/**
 * Files that came without saying whose they are: a show file with the frames that it names, or frames, each of another
 * camera.
 */
export async function takeFiles(files: readonly NamedFile[], setup = setups.value[0]!): Promise<void> {
  const show = files.find(isShow)
  try {
    fault.value = undefined
    if (show !== undefined) return await openShow(await show.file.text(), show.path, files)
    const frames = files.filter(isFrame)
    if (frames.length < files.length) {
      const other = files.find((file) => !isFrame(file))!
      fault.value = {
        message: `${other.path} is no file of frames or readings`,
        hint: 'PNG, TIFF, JPEG, WebP, clips as the browser plays them, or readings as .csv',
      }
    }
    // What follows from the cameras is worked out once, not for each of two hundred.
    await Promise.all(batch(() => frames.map((one) => shootFiles(addCamera(one.path), setup, [one]))))
  } catch (cause) {
    fault.value = failureOf(cause)
  }
}

/** What of a show file the page shows and lets change. */
interface ShowContent {
  readonly title?: string
  readonly chart: string
  readonly target: { readonly camera?: string; readonly reference?: string; readonly consensus?: true }
  readonly fit?: { readonly model?: 'lift-gain-matrix'; readonly curve?: 'declared' }
  readonly output?: { readonly formats?: readonly 'cube'[]; readonly nodes?: string }
  readonly tolerance?: { readonly mean?: number; readonly max?: number }
  readonly cameras: readonly ({ readonly id: string; readonly encoding: ShowEncoding } & ShotContent & {
      readonly shots?: readonly ShotContent[]
    })[]
}

interface ShotContent {
  readonly setup?: string
  readonly frames?: string | readonly string[]
  readonly readings?: string
  readonly corners?: ShowCorners
  readonly borrow?: string
  readonly at?: { readonly seconds?: number }
}

/** A show file, and whatever of the files that it names is among `files`, known by the end of its path. */
async function openShow(text: string, name: string, files: readonly NamedFile[]): Promise<void> {
  const opening = await ask<'open'>({ kind: 'open', text, name })
  const show = opening.show as ShowContent
  const lastOf = (path: string) => path.split('/').at(-1)
  const named = (path: string) =>
    files.find((one) => one.path.endsWith(path)) ?? files.find((one) => lastOf(one.path) === lastOf(path))
  const jobs: (() => Promise<void>)[] = []
  const missing: string[] = []
  batch(() => {
    cameras.value = []
    opened.value = opening.show
    const others = files.filter((file) => !isShow(file) && !isFrame(file))
    namedFiles.value = Object.fromEntries(
      [...others, ...files.filter(isShow)].map(({ path, file }) => [path, file]),
    )
    const kind: TargetChoice =
      show.target.camera !== undefined
        ? 'camera'
        : show.target.reference !== undefined
          ? 'reference'
          : 'consensus'
    const shotsOf = (camera: ShowContent['cameras'][number]): readonly ShotContent[] =>
      camera.shots ?? [camera]
    setups.value = [
      ...new Set(show.cameras.flatMap((one) => shotsOf(one).map(({ setup = 'default' }) => setup))),
    ]
    for (const camera of show.cameras) {
      const key = addCamera(camera.id, camera.encoding)
      if (camera.id === show.target.camera) choices.value = { ...choices.value, reference: key }
      const borrowed = Object.fromEntries(
        shotsOf(camera).flatMap(({ setup = 'default', borrow }) =>
          borrow === undefined ? [] : [[setup, borrow]],
        ),
      )
      if (Object.keys(borrowed).length > 0)
        cameras.value = cameras.value.map((one) => (one.key === key ? { ...one, borrowed } : one))
      for (const { setup = 'default', frames = [], readings, corners, at } of shotsOf(camera)) {
        const paths = readings === undefined ? (typeof frames === 'string' ? [frames] : frames) : [readings]
        const found = paths.flatMap((path): NamedFile[] => {
          const one = named(path)
          return one === undefined ? [] : [{ path, file: one.file }]
        })
        if (found.length < paths.length) missing.push(...paths.filter((path) => named(path) === undefined))
        const clip = found.find(isClip)
        if (clip !== undefined) jobs.push(() => shootClip(key, setup, clip, at?.seconds))
        else if (found.length > 0)
          jobs.push(() => shoot(key, setup, { files: found }, paths.join(', '), corners))
      }
    }
    const { title, chart, fit, output, tolerance, target } = show
    choices.value = {
      ...choices.value,
      title: title ?? name.replace(/\.[^.]+$/, ''),
      chart,
      target: kind,
      white: target.reference ?? 'D65',
      model: fit?.model ?? 'lift-gain-matrix',
      curve: fit?.curve ?? 'declared',
      formats: output?.formats ?? ['cube'],
      bounded: output?.nodes === 'bounded',
      mean: tolerance?.mean ?? 1,
      max: tolerance?.max ?? 3,
    }
    if (missing.length > 0)
      fault.value = {
        message: `the show names files that are not here: ${missing.slice(0, 5).join(', ')}${missing.length > 5 ? ` and ${missing.length - 5} more` : ''}`,
        hint: 'drop the folder of the show, or its frames together with the show file',
      }
  })
  await Promise.all(jobs.map((job) => job()))
}

/** The demo's show, rendered on this machine. */
export async function takeExample(): Promise<void> {
  const { show, frames } = await ask<'example'>({ kind: 'example' })
  await takeFiles([{ path: 'show.yaml', file: new Blob([show]) }, ...frames])
}
