import type { IncomingMessage, ServerResponse } from 'node:http'
import { type Encoding, given } from '@isochip/core'
import { type DecodedFrame, thinFrame, thinUnit } from '@isochip/frames'
import type { CameraState, LineUpState, PanelState, PixelsPlace } from '@isochip/page'
import { instructions, restsOn, roundWords, touchedWords } from '@isochip/report'
import type { LineUpEvent } from '@isochip/show/node'

/** Columns of a frame that scopes are drawn from. */
const columns = 960
/** How soon a browser asks again, in milliseconds. */
const retry = 500

/** What is known of a line-up, as the page wants it: fed with events and frames, told to whoever listens. */
export class LineUpBoard {
  readonly #listeners = new Set<ServerResponse>()
  readonly #pixels = new Map<string, Buffer>()
  readonly #shots = new Map<string, number>()
  #state: LineUpState

  constructor(state: LineUpState) {
    this.#state = state
  }

  /** What the panels of a simulation say. */
  takePanels(simulation: readonly PanelState[]): void {
    this.#state = { ...this.#state, simulation }
    this.#tell()
  }

  takeFrame(camera: string, frame: DecodedFrame, encoding: Encoding): void {
    const { width, height, data } = thinFrame(frame, encoding.range, columns)
    const shot = (this.#shots.get(camera) ?? 0) + 1
    this.#shots.set(camera, shot)
    const bytes = Buffer.from(data.buffer, data.byteOffset, data.byteLength)
    // Typed arrays have the order of the machine; the page reads little-endian.
    this.#pixels.set(camera, littleEndian ? bytes : bytes.swap16())
    const pixels: PixelsPlace = {
      path: `pixels/${encodeURIComponent(camera)}?shot=${shot}`,
      width,
      height,
      unit: thinUnit,
    }
    this.#change(camera, (one) => ({ ...one, pixels }))
  }

  takeEvent(event: LineUpEvent): void {
    const { camera } = event
    if (event.type === 'trouble') {
      const { message, hint } = event.error
      this.#change(camera, (one) => ({
        ...one,
        trouble: given({ message, hint }),
      }))
    } else if (event.type === 'target') {
      this.#change(camera, ({ trouble: _, ...one }) => one)
    } else {
      const { kept, round, trend, within, touched, forgotten, encoding, controls, warnings } = event
      const steps = instructions(kept.asked, kept.stages, encoding.range, controls)
      const notes = [...(touched ? [touchedWords(forgotten)] : []), ...warnings.map(({ message }) => message)]
      this.#change(camera, ({ trouble: _, ...one }) => ({
        ...one,
        round: {
          number: round,
          verdict: roundWords(steps.length, within),
          trend: [...trend],
          withLut: kept.withLut,
          first: restsOn(kept, encoding),
          steps,
          notes,
        },
      }))
    }
    this.#tell()
  }

  /** Answers `state` with a stream of events, and `pixels/CAMERA` with its newest frame. */
  answer(path: string, request: IncomingMessage, response: ServerResponse): boolean {
    if (path === '/state') {
      response.writeHead(200, { 'Content-Type': 'text/event-stream' })
      response.write(`retry: ${retry}\n${this.#message()}`)
      this.#listeners.add(response)
      request.on('close', () => this.#listeners.delete(response))
      return true
    }
    if (!path.startsWith('/pixels/')) return false
    const name = path.slice('/pixels/'.length)
    const one = this.#state.cameras.find(({ camera }) => encodeURIComponent(camera) === name)
    const bytes = one && this.#pixels.get(one.camera)
    if (bytes === undefined) return false
    response.writeHead(200, { 'Content-Type': 'application/octet-stream', 'Content-Length': bytes.length })
    response.end(bytes)
    return true
  }

  #change(camera: string, change: (one: CameraState) => CameraState): void {
    const { cameras, ...rest } = this.#state
    this.#state = { ...rest, cameras: cameras.map((one) => (one.camera === camera ? change(one) : one)) }
  }

  #message(): string {
    return `data: ${JSON.stringify(this.#state)}\n\n`
  }

  #tell(): void {
    for (const listener of this.#listeners) listener.write(this.#message())
  }
}

const littleEndian = new Uint8Array(Uint16Array.of(1).buffer)[0] === 1
