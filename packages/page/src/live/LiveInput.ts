import type { LatticeLut } from '@isochip/export'
import { signal } from '@preact/signals'
import type { Failure } from '../match/messages.ts'
import { parts } from '../match/state.ts'
import { ask, failureOf } from '../match/workers.ts'
import type { ScopeStandard } from '../scopes/standard.ts'
import type { BarsVerdict } from './form/checkBars.ts'
import type { SignalForm } from './form/signalForm.ts'
import { type FormSource, rememberedInput } from './rememberedInputs.ts'
import type { Sight } from './sight.ts'
import { inputFailure, openVideoInput, type VideoInput } from './videoInputs.ts'
import type { Delivered, Grab, LiveAsk, LiveTold, Pace } from './worker/liveMessages.ts'

/** Milliseconds between two looks for the chart: it is followed at most so often. */
const followEvery = { seen: 120, lost: 600 }
/** A look is followed by a rest of so many times its length: pictures and scopes go first. */
const rest = 3

/** A video input that runs: its picture, where the chart is in it, and what its signal is taken for. */
export class LiveInput {
  readonly input: VideoInput
  readonly state = signal<'opening' | 'running' | 'ended'>('opening')
  readonly trouble = signal<Failure | undefined>(undefined)
  readonly sight = signal<Sight | undefined>(undefined)
  readonly form = signal<SignalForm>({ matrix: 'bt709', range: 'narrow' })
  readonly formSource = signal<FormSource>('assumed')
  readonly delivered = signal<Delivered | undefined>(undefined)
  /** Is there a LUT to look through? */
  readonly matched = signal(false)
  /** How fast frames are drawn. */
  readonly pace = signal<Pace | undefined>(undefined)
  /** Is a reading waiting for its frames? */
  readonly averaging = signal(false)
  /** Counts the workers it has had: what is drawn on belongs to one of them. */
  readonly workers = signal(0)
  /** None after it was lost, until the input is opened again. */
  #worker: Worker | undefined
  #stream: MediaStream | undefined
  #video: HTMLVideoElement | undefined
  #busy = false
  #following = false
  #nextLook = 0
  #waiting: {
    average?: (grab: Grab | undefined) => void
    bars?: (verdict: BarsVerdict | undefined) => void
  } = {}

  constructor(input: VideoInput) {
    this.input = input
    this.#worker = this.#load()
    const known = rememberedInput(input)
    if (known !== undefined) this.setForm(known.form, known.source)
  }

  /** Opens the input; again, after it had ended. */
  async open(): Promise<void> {
    this.close()
    this.state.value = 'opening'
    const worker = this.#worker ?? this.#load()
    this.#worker = worker
    try {
      const stream = await openVideoInput(this.input.id)
      this.#stream = stream
      // Lost meanwhile, or not wanted any more.
      if (this.#worker !== worker) return this.close()
      const [track] = stream.getVideoTracks()
      track?.addEventListener('ended', () =>
        this.#end({
          message: `${this.input.label} gives no picture any more: it was unplugged, or another program took it`,
          hint: 'plug it in again and press Reconnect; the readings taken so far stay',
        }),
      )
      this.trouble.value = undefined
      this.state.value = 'running'
      this.show(this.#video)
    } catch (cause) {
      this.state.value = 'ended'
      this.trouble.value = inputFailure(cause)
    }
  }

  /** Runs in this element from now on. */
  show(video: HTMLVideoElement | undefined): void {
    this.#video = video
    const stream = this.#stream
    if (video === undefined || stream === undefined || video.srcObject === stream) return
    video.srcObject = stream
    video.play().catch(() => undefined)
    const next = () => {
      if (this.#video !== video || video.srcObject !== stream || this.state.value !== 'running') return
      video.requestVideoFrameCallback(next)
      this.#take(video)
    }
    video.requestVideoFrameCallback(next)
  }

  /** The mean of the next frames; undefined where the input ends before. */
  average(count: number): Promise<Grab | undefined> {
    this.averaging.value = true
    return new Promise((resolve) => {
      this.#waiting.average = resolve
      this.#tell({ kind: 'average', count })
    })
  }

  /** What colour bars on this input say of it; undefined where they say nothing, or the input ends before. */
  lookAtBars(): Promise<BarsVerdict | undefined> {
    return new Promise((resolve) => {
      this.#waiting.bars = resolve
      this.#tell({ kind: 'bars' })
    })
  }

  /** Scopes of what comes, or of what the LUT makes of it, are drawn on this canvas from now on. */
  drawScopes(canvas: OffscreenCanvas): void {
    this.#tell({ kind: 'scopes', canvas }, [canvas])
  }

  setScopes(standard: ScopeStandard, matched: boolean): void {
    this.#tell({ kind: 'standard', standard, matched })
  }

  /** The picture through the LUT is drawn on this canvas from now on. */
  drawMatched(canvas: OffscreenCanvas): void {
    this.#tell({ kind: 'preview', canvas }, [canvas])
  }

  setLattice(lattice: LatticeLut | undefined): void {
    this.matched.value = lattice !== undefined
    this.#tell(lattice === undefined ? { kind: 'lattice' } : { kind: 'lattice', lattice })
  }

  setForm(form: SignalForm, source: FormSource): void {
    this.form.value = form
    this.formSource.value = source
    this.#tell({ kind: 'form', form })
  }

  close(): void {
    for (const track of this.#stream?.getTracks() ?? []) track.stop()
    this.#stream = undefined
    this.#busy = false
  }

  /** Not to be opened again. */
  dispose(): void {
    this.#stop()
    this.#video = undefined
    this.#worker?.terminate()
    this.#worker = undefined
  }

  #load(): Worker {
    const worker = new Worker(new URL('./worker/liveWorker.ts', import.meta.url), { type: 'module' })
    let here = false
    worker.addEventListener('message', ({ data }: MessageEvent<LiveTold>) => {
      here = true
      this.#hear(data)
    })
    worker.addEventListener('error', () => {
      worker.terminate()
      this.#worker = undefined
      const { label } = this.input
      this.#end(
        here
          ? {
              message: `the picture of ${label} was too much for the browser`,
              hint: 'press Reconnect; the readings taken so far stay',
            }
          : {
              message: `the page cannot load the part of itself that reads ${label}: what served it no longer answers`,
              hint: 'start isochip page again, then press Reconnect; the readings taken so far stay',
            },
      )
    })
    worker.postMessage({ kind: 'form', form: this.form.value } satisfies LiveAsk)
    this.workers.value++
    return worker
  }

  #tell(told: LiveAsk, transfer: Transferable[] = []): void {
    this.#worker?.postMessage(told, transfer)
  }

  #end(trouble: Failure): void {
    this.#stop()
    this.state.value = 'ended'
    this.trouble.value = trouble
  }

  /** Nothing comes any more: nobody waits for it. */
  #stop(): void {
    this.close()
    this.averaging.value = false
    this.sight.value = undefined
    const { average, bars } = this.#waiting
    this.#waiting = {}
    average?.(undefined)
    bars?.(undefined)
  }

  #take(video: HTMLVideoElement): void {
    // What comes while the last frame is still being looked at is let go.
    if (!this.#busy) {
      const frame = frameOf(video)
      if (frame === undefined) return
      if (this.formSource.value === 'assumed') this.#believe(frame.colorSpace)
      this.#busy = true
      this.#tell({ kind: 'frame', frame }, [frame])
    }
    if (this.#following || performance.now() < this.#nextLook) return
    const frame = frameOf(video)
    if (frame === undefined) return
    void this.#follow(frame)
  }

  /** Where the browser names one of the two matrices of HD and beyond, it was told; BT.601 it says where it knows nothing. */
  #believe({ matrix, fullRange }: VideoColorSpace): void {
    // The types know fewer names than the standard, W3C WebCodecs.
    const name: string | null = matrix
    const named = name === 'bt709' ? 'bt709' : name === 'bt2020-ncl' ? 'bt2020' : undefined
    if (named === undefined || fullRange === null) return
    this.setForm({ matrix: named, range: fullRange ? 'full' : 'narrow' }, 'browser')
  }

  async #follow(frame: VideoFrame): Promise<void> {
    this.#following = true
    // Waiting for a worker is no look.
    let took = 0
    const last = this.sight.value?.corners
    try {
      const { chart } = parts.value.show as { readonly chart: string }
      const found = await ask<'follow'>(
        {
          kind: 'follow',
          frame,
          form: this.form.value,
          chart,
          files: parts.value.files,
          ...(last === undefined ? {} : { corners: last }),
        },
        { transfer: [frame] },
      )
      took = found.took
      // Noise moves corners by parts of a pixel: no reason to draw everything anew.
      if (this.state.value === 'running' && !stands(this.sight.value, found.sight))
        this.sight.value = found.sight
    } catch (cause) {
      this.trouble.value = failureOf(cause)
    } finally {
      this.#following = false
      const least = this.sight.value === undefined ? followEvery.lost : followEvery.seen
      this.#nextLook = performance.now() + Math.max(least, rest * took)
    }
  }

  #hear(told: LiveTold): void {
    switch (told.kind) {
      case 'done': {
        this.#busy = false
        const { width, height, kind } = told.delivered
        const now = this.delivered.value
        if (now?.width === width && now.height === height && now.kind === kind) return
        this.delivered.value = told.delivered
        // R′G′B′ is full range unless somebody knows better; Y′CbCr is narrow (common practice, no source).
        if (kind === 'rgb' && this.formSource.value === 'assumed')
          this.setForm({ ...this.form.value, range: 'full' }, 'assumed')
        return
      }
      case 'averaged':
        this.averaging.value = false
        this.#waiting.average?.(told.grab)
        return
      case 'pace':
        this.pace.value = told.pace
        return
      case 'bars':
        this.#waiting.bars?.(told.verdict)
        return
      case 'trouble':
        this.#busy = false
        this.trouble.value = {
          message: `a frame of ${this.input.label} cannot be read: ${told.message}`,
        }
    }
  }
}

/** Undefined while the element has nothing to show, as just after an input was opened. */
function frameOf(video: HTMLVideoElement): VideoFrame | undefined {
  try {
    return new VideoFrame(video)
  } catch {
    return undefined
  }
}

/** Is a chart where it was, to a thousandth of the frame? */
function stands(before: Sight | undefined, now: Sight | undefined): boolean {
  if (before === undefined || now === undefined || before.width !== now.width) return before === now
  return now.corners.every(([x, y], i) => {
    const [a, b] = before.corners[i]!
    return Math.hypot(x - a, y - b) < 0.001 * now.width
  })
}
