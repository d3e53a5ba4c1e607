import { effect, signal } from '@preact/signals'
import { addCamera } from '../match/actions.ts'
import { cameras, fault } from '../match/state.ts'
import { LiveInput } from './LiveInput.ts'
import { rememberedInput, rememberInput } from './rememberedInputs.ts'
import { inputFailure, type VideoInput, videoInputs } from './videoInputs.ts'

/** Running inputs by the key of their camera. */
export const liveInputs = signal<ReadonlyMap<number, LiveInput>>(new Map())
/** What the browser has to offer; undefined before it was asked. */
export const offered = signal<readonly VideoInput[] | undefined>(undefined)

/** Asks the browser what there is; the user has to allow it. */
export async function findInputs(): Promise<void> {
  try {
    fault.value = undefined
    offered.value = await videoInputs()
  } catch (cause) {
    offered.value = undefined
    fault.value = inputFailure(cause)
  }
}

/** Makes a video input a camera, under the name and the encoding that it had the last time. */
export async function addLiveCamera(input: VideoInput): Promise<void> {
  const known = rememberedInput(input)
  const key = addCamera(known?.camera ?? input.label.replace(/\s*\([0-9a-f:]+\)$/i, ''), known?.encoding)
  const live = new LiveInput(input)
  liveInputs.value = new Map(liveInputs.value).set(key, live)
  await live.open()
}

// Whoever took the camera away, a show file that was opened too: its input is let go.
effect(() => {
  const keys = new Set(cameras.value.map(({ key }) => key))
  const all = [...liveInputs.peek()]
  const kept = all.filter(([key]) => keys.has(key))
  if (kept.length === all.length) return
  for (const [key, live] of all) if (!keys.has(key)) live.dispose()
  liveInputs.value = new Map(kept)
})

/** Keeps what is known of an input for the next time. */
export function keepInput(key: number): void {
  const live = liveInputs.value.get(key)
  const camera = cameras.value.find((one) => one.key === key)
  if (live === undefined || camera === undefined) return
  const { id, encoding } = camera
  rememberInput(live.input, {
    camera: id,
    encoding,
    form: live.form.value,
    source: live.formSource.value,
  })
}

// An input that comes back is opened again without a word.
if (typeof navigator !== 'undefined' && 'mediaDevices' in navigator)
  navigator.mediaDevices.addEventListener('devicechange', async () => {
    const here = new Set((await navigator.mediaDevices.enumerateDevices()).map(({ deviceId }) => deviceId))
    for (const live of liveInputs.value.values())
      if (live.state.value === 'ended' && here.has(live.input.id)) void live.open()
  })
