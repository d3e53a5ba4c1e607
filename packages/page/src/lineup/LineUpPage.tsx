import { useState } from 'preact/hooks'
import { CameraRow, type View } from './CameraRow.tsx'
import type { Connection } from './connect.ts'

const views: Readonly<Record<View, string>> = {
  parade: 'Parade',
  waveform: 'Waveform',
  levels: 'Legal range',
}

export function LineUpPage({ connection }: { readonly connection: Connection }) {
  const [view, show] = useState<View>('parade')
  const state = connection.state.value
  const pixels = connection.pixels.value
  const connected = connection.connected.value
  if (state === undefined)
    return (
      <main class="empty">
        <h1>Line-up</h1>
        <p role="status">
          {connected ? 'Waiting for the first word of the server.' : 'Not connected; trying again.'}
        </p>
      </main>
    )
  const { title, setup, target, tolerance, cameras, simulation } = state
  const targetCamera = cameras.find(({ isTarget }) => isTarget)
  // The target camera last: nothing is to be turned at it.
  const rows = [...cameras].sort((a, b) => Number(a.isTarget) - Number(b.isTarget))
  return (
    <>
      <header class="top">
        <h1>{title}</h1>
        <p>
          {setup === 'default' ? '' : `${setup}, `}lined up to {target}; tolerance ΔE00 {tolerance.toFixed(2)}
        </p>
        {simulation && <p class="simulation-mark">Simulation</p>}
        <p role="status" class={connected ? '' : 'away'}>
          {connected ? '' : 'Not connected; trying again. What stands here may be old.'}
        </p>
        <fieldset class="views">
          <legend class="out-of-sight">Beside the vectorscope</legend>
          {(Object.entries(views) as [View, string][]).map(([name, label]) => (
            <label key={name}>
              <input type="radio" name="view" checked={view === name} onChange={() => show(name)} /> {label}
            </label>
          ))}
          <span class="key" aria-hidden="true">
            <i /> target camera’s trace
          </span>
        </fieldset>
      </header>
      <main>
        {rows.map((one) => (
          <CameraRow
            key={one.camera}
            state={one}
            tolerance={tolerance}
            view={view}
            pixels={pixels.get(one.camera)}
            target={targetCamera && pixels.get(targetCamera.camera)}
            targetEncoding={targetCamera?.encoding}
            panel={one.isTarget ? undefined : simulation?.find(({ camera }) => camera === one.camera)}
          />
        ))}
      </main>
    </>
  )
}
