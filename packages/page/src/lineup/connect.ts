import { type ReadonlySignal, signal } from '@preact/signals'
import type { LineUpState } from './feed.ts'

export interface Connection {
  /** What the server told last; undefined before it has told anything. Stays while the server is away. */
  readonly state: ReadonlySignal<LineUpState | undefined>
  readonly connected: ReadonlySignal<boolean>
}

/** Listens to the server. A browser asks again by itself when the server has gone and come back. */
export function connect(address: string): Connection {
  const state = signal<LineUpState | undefined>(undefined)
  const connected = signal(false)
  const source = new EventSource(address)
  source.addEventListener('open', () => {
    connected.value = true
  })
  source.addEventListener('error', () => {
    connected.value = false
  })
  source.addEventListener('message', ({ data }) => {
    state.value = JSON.parse(data as string) as LineUpState
  })
  return { state, connected }
}
