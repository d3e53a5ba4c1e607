import { checkBars } from '../form/checkBars.ts'
import type { Planes } from '../form/planes.ts'
import { planesOf } from '../form/planesOf.ts'
import type { SignalForm } from '../form/signalForm.ts'
import { FrameMean } from '../frameMean.ts'
import { grabOf } from '../grabOf.ts'
import { LiveDrawer } from './LiveDrawer.ts'
import type { LiveAsk, LiveTold } from './liveMessages.ts'

let form: SignalForm = { matrix: 'bt709', range: 'narrow' }
/** What the frames that come now are for. */
let wanted: { readonly kind: 'average' | 'bars'; readonly count: number } | undefined
const mean = new FrameMean()
const drawer = new LiveDrawer()
/** Noise would hide what bars say. */
const barFrames = 8

const tell = (told: LiveTold) => postMessage(told)

async function takeFrame(frame: VideoFrame): Promise<void> {
  try {
    const planes = await planesOf(frame)
    frame.close()
    const { kind, width, height, bits } = planes
    if (wanted !== undefined) collect(planes, wanted)
    drawer.draw(planes, form)
    tell({ kind: 'done', delivered: { kind, width, height, bits } })
    const pace = drawer.pace()
    if (pace !== undefined) tell({ kind: 'pace', pace })
  } catch (cause) {
    frame.close()
    tell({ kind: 'trouble', message: (cause as Error).message })
  }
}

function collect(planes: Planes, { kind, count }: NonNullable<typeof wanted>): void {
  mean.add(planes)
  if (mean.count < count) return
  wanted = undefined
  const frames = mean.count
  const whole = mean.take()!
  if (kind === 'bars') {
    tell({ kind: 'bars', verdict: checkBars(whole) })
    return
  }
  tell({ kind: 'averaged', grab: grabOf(whole, form), frames })
}

addEventListener('message', ({ data }: MessageEvent<LiveAsk>) => {
  switch (data.kind) {
    case 'frame':
      void takeFrame(data.frame)
      return
    case 'scopes':
      drawer.scopesOn(data.canvas)
      return
    case 'standard':
      drawer.standard = data.standard
      drawer.matched = data.matched
      return
    case 'preview':
      drawer.previewOn(data.canvas)
      return
    case 'lattice':
      drawer.lattice = data.lattice
      return
    case 'form':
      form = data.form
      return
    case 'average':
      wanted = { kind: 'average', count: data.count }
      mean.take()
      return
    case 'bars':
      wanted = { kind: 'bars', count: barFrames }
      mean.take()
      return
  }
})
