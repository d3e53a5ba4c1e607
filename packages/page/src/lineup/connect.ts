import { type ReadonlySignal, signal } from '@preact/signals'
import type { ScopePixels } from '../scopes/trace.ts'
import type { LineUpState } from './feed.ts'
import { fetchPixels } from './fetchPixels.ts'

export interface Connection {
  /** What the server told last; undefined before it has told anything. Stays while the server is away. */
  readonly state: ReadonlySignal<LineUpState | undefined>
  /** The newest frame of each camera. */
  readonly pixels: ReadonlySignal<ReadonlyMap<string, ScopePixels>>
  readonly connected: ReadonlySignal<boolean>
}

/** Listens to the server. A browser asks again by itself when the server has gone and come back. */
export function connect(address: string): Connection {
  const state = signal<LineUpState | undefined>(undefined)
  const pixels = signal<ReadonlyMap<string, ScopePixels>>(new Map())
  const connected = signal(false)
  const wanted = new Map<string, string>()
  const source = new EventSource(address)
  source.addEventListener('open', () => {
    // Whoever has come back may count its shots anew.
    wanted.clear()
    connected.value = true
  })
  source.addEventListener('error', () => {
    connected.value = false
  })
  source.addEventListener('message', ({ data }) => {
    const told = JSON.parse(data as string) as LineUpState
    state.value = told
    for (const { camera, pixels: place } of told.cameras) {
      if (place === undefined || wanted.get(camera) === place.path) continue
      wanted.set(camera, place.path)
      fetchPixels(place).then(
        (taken) => {
          // A newer one may have overtaken it.
          if (wanted.get(camera) === place.path) pixels.value = new Map(pixels.value).set(camera, taken)
        },
        () => wanted.delete(camera),
      )
    }
  })
  return { state, pixels, connected }
}
