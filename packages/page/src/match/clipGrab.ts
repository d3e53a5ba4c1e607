import type { SignalForm } from '../live/form/signalForm.ts'
import type { Grab } from '../live/worker/liveMessages.ts'
import type { NamedFile } from './messages.ts'
import { ask } from './workers.ts'

export const isClip = ({ path }: NamedFile): boolean => /\.(mp4|m4v|mov|webm|mkv)$/i.test(path)

/** A browser that is busy may leave a clip lying: so long it is waited for before it is asked for again, and so often. */
const patience = { milliseconds: 20_000, tries: 3 }
/** Elements that are waited for: one that is neither in the page nor held by anything the browser may clear away. */
const awaited = new Set<HTMLVideoElement>()

/**
 * The frame of a clip that is on screen at a time, by its codes: matrix and range are the clip's own.
 *
 * @throws Error in words, where the browser cannot decode it
 */
export async function clipGrab(file: NamedFile, seconds = 0): Promise<Grab> {
  for (let tried = 1; ; tried++) {
    const frame = await frameAt(file, seconds)
    if (frame !== undefined)
      return await ask<'grab'>({ kind: 'grab', frame, form: formOf(frame) }, { transfer: [frame] })
    if (tried === patience.tries)
      throw new Error(
        `the browser does not come to a picture of ${file.path}: drop it again, or a still of it`,
      )
  }
}

/** `undefined` where it does not come in time. */
async function frameAt({ path, file }: NamedFile, seconds: number): Promise<VideoFrame | undefined> {
  const video = document.createElement('video')
  const address = URL.createObjectURL(file)
  let timer: ReturnType<typeof setTimeout> | undefined
  const late = new Promise<'late'>((resolve) => {
    timer = setTimeout(() => resolve('late'), patience.milliseconds)
  })
  const until = (event: string) =>
    Promise.race([
      late,
      new Promise<void>((resolve, reject) => {
        video.addEventListener(event, () => resolve(), { once: true })
        video.addEventListener('error', () => reject(new Error(undecoded(path))), { once: true })
      }),
    ])
  awaited.add(video)
  try {
    video.muted = true
    video.preload = 'auto'
    const loaded = until('loadeddata')
    video.src = address
    if ((await loaded) === 'late') return undefined
    if (seconds > 0) {
      const sought = until('seeked')
      video.currentTime = seconds
      if ((await sought) === 'late') return undefined
    }
    // A clip of sound alone has data and no picture.
    if (video.videoWidth === 0) throw new Error(undecoded(path))
    return new VideoFrame(video)
  } finally {
    clearTimeout(timer)
    awaited.delete(video)
    video.removeAttribute('src')
    video.load()
    URL.revokeObjectURL(address)
  }
}

const undecoded = (path: string) =>
  `the browser cannot decode ${path}: not every one knows every codec, and some know no H.264. Drop a still of it, or match it by the command, which reads clips with ffmpeg`

/** What the clip says; where it says nothing, as for its size: common practice, no source. */
function formOf({ colorSpace, displayHeight }: VideoFrame): SignalForm {
  // The types know fewer names than the standard, W3C WebCodecs.
  const name: string | null = colorSpace.matrix
  const range = colorSpace.fullRange === true ? 'full' : 'narrow'
  if (name === 'bt2020-ncl') return { matrix: 'bt2020', range }
  if (name === 'smpte170m' || name === 'bt470bg') return { matrix: 'bt601', range }
  if (name === 'bt709') return { matrix: 'bt709', range }
  return { matrix: displayHeight < 720 ? 'bt601' : 'bt709', range }
}
