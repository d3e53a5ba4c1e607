import { keepInput, liveInputs } from '../../live/inputsAtHand.ts'
import { LiveView } from '../../live/LiveView.tsx'
import { removeCamera, renameCamera, renameSetup, shootFiles } from '../actions.ts'
import type { NamedFile } from '../messages.ts'
import { type Camera, choices, referenceId, setups } from '../state.ts'
import { DropArea } from './DropArea.tsx'
import { EncodingChoice } from './EncodingChoice.tsx'
import { ShotView } from './ShotView.tsx'

/** One camera: its name, its encoding, and its shot of each setup. */
export function CameraColumn({ camera }: { readonly camera: Camera }) {
  const isReference = choices.value.target === 'camera' && referenceId.value === camera.id
  const several = setups.value.length > 1
  const live = liveInputs.value.get(camera.key)
  return (
    <section class="camera-column" aria-label={`Camera ${camera.id}`}>
      <div class="camera-head">
        <input
          class="name"
          aria-label="Name of the camera"
          value={camera.id}
          onChange={({ currentTarget }) => {
            renameCamera(camera.key, currentTarget.value.trim())
            keepInput(camera.key)
          }}
        />
        {isReference && <span class="tag">reference</span>}
        <button
          type="button"
          aria-label={`Remove camera ${camera.id}`}
          onClick={() => removeCamera(camera.key)}
        >
          Remove
        </button>
      </div>
      <EncodingChoice camera={camera} />
      {live !== undefined && <LiveView camera={camera} live={live} />}
      {setups.value.map((setup) => {
        const shot = camera.shots.find((one) => one.setup === setup)
        const take = (files: readonly NamedFile[]) => {
          if (files.length > 0) void shootFiles(camera.key, setup, files)
        }
        return (
          <div key={setup} class="shot">
            {several && (
              <input
                class="setup"
                aria-label="Name of the setup"
                value={setup}
                onChange={({ currentTarget }) => renameSetup(setup, currentTarget.value)}
              />
            )}
            {shot === undefined ? (
              <DropArea label={`Frames of ${camera.id}, ${setup}`} onFiles={take}>
                <p class="quiet">
                  {camera.borrowed?.[setup] === undefined
                    ? `No frame${several ? ` of ${setup}` : ''} yet.`
                    : `Borrows the match of ${camera.borrowed[setup]}.`}
                </p>
              </DropArea>
            ) : (
              <ShotView camera={camera} shot={shot} onFiles={take} />
            )}
          </div>
        )
      })}
    </section>
  )
}
