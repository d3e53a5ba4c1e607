import { useSignal } from '@preact/signals'
import { InputPicker } from '../../live/InputPicker.tsx'
import { liveInputs } from '../../live/inputsAtHand.ts'
import { addSetup, choose } from '../actions.ts'
import { matching } from '../matching.ts'
import type { Judged } from '../messages.ts'
import {
  type Camera,
  cameras,
  choices,
  fault,
  liveShots,
  matched,
  parts,
  reading,
  readingsAtHand,
  referenceId,
  setups,
  unreferenced,
} from '../state.ts'
import { takeExample, takeFiles } from '../takeFiles.ts'
import { ask, failureOf } from '../workers.ts'
import { CameraColumn } from './CameraColumn.tsx'
import { ChoiceBar } from './ChoiceBar.tsx'
import { DropArea } from './DropArea.tsx'
import { elementOf } from './elementOf.ts'
import { FaultNote } from './FaultNote.tsx'
import { useFew } from './useFew.ts'
import { VerdictCard } from './VerdictCard.tsx'

/** What stands where the verdict will be. */
function status(): string {
  if (reading.value > 0)
    return reading.value === 1 ? 'Reading one shot …' : `Reading ${reading.value} shots …`
  if (matching.value) return 'Matching …'
  if (cameras.value.length === 0) return 'Drop a frame of the test chart from each camera.'
  const unread = cameras.value.find(({ key, shots }) => shots.length === 0 && liveInputs.value.has(key))
  if (unread !== undefined) return `Show ${unread.id} the chart, then take a reading.`
  if (unreferenced.value.size > 0)
    return `Add the chart as ${referenceId.value}, the reference camera, saw it.`
  const shots = cameras.value.filter(({ shots }) => shots.length > 0).length
  if (shots < 2 && choices.value.target !== 'reference')
    return 'Add the chart as another camera saw it; the first camera is the reference.'
  return ''
}

const columnOf = elementOf((camera: Camera) => <CameraColumn key={camera.key} camera={camera} />)
const cardOf = elementOf((judged: Judged) => (
  <VerdictCard key={`${judged.camera} ${judged.setup}`} judged={judged} />
))

export function MatchPage() {
  const busy = useSignal(false)
  const saved = useSignal<{ readonly name: string; readonly of: unknown } | undefined>(undefined)
  const result = matched.value
  const columns = useFew(cameras.value.length)
  const cards = useFew(result?.judged.length ?? 0)
  const during = async (work: () => Promise<void>) => {
    busy.value = true
    try {
      await work()
    } catch (cause) {
      fault.value = failureOf(cause)
    } finally {
      busy.value = false
    }
  }
  const deliver = () =>
    during(async () => {
      const zip = await ask<'deliver'>({
        kind: 'deliver',
        parts: parts.value,
        readings: readingsAtHand(),
        live: liveShots.value,
      })
      const name = `${choices.value.title.replace(/[^\p{L}\p{N} _-]+/gu, '').trim() || 'match'}.zip`
      save(zip, name)
      saved.value = { name, of: result }
    })
  return (
    <>
      <header class="bar">
        <h1 class="out-of-sight">Match cameras</h1>
        <label class="title">
          <span class="out-of-sight">Title of the show</span>
          <input
            value={choices.value.title}
            onChange={({ currentTarget }) => choose({ title: currentTarget.value || 'Untitled show' })}
          />
        </label>
        <p role="status" class="verdict">
          {result?.sentence ?? status()}
        </p>
        {/* Later it would take the place of what somebody has made. */}
        {cameras.value.length === 0 && (
          <button type="button" disabled={busy.value} onClick={() => during(takeExample)}>
            Load an example show
          </button>
        )}
        <button
          type="button"
          class="main"
          disabled={busy.value || result?.sentence === undefined || result.judged.length === 0}
          onClick={deliver}
        >
          Save LUTs and report
        </button>
      </header>
      <main>
        <FaultNote />
        <p role="status">
          {saved.value !== undefined && saved.value.of === result && (
            <>
              <b>{saved.value.name}</b> is among the browser’s downloads: the LUTs in a folder for each setup,
              report.html to look at, show.yaml to go on from.
            </>
          )}
        </p>
        {result !== undefined && (
          <section aria-label="Verdict" class="cards">
            {result.failed.map(({ camera, setup, message }) => (
              <article key={`${camera} ${setup}`} class="card out">
                <h2>
                  {camera} <small>{setup}</small>
                </h2>
                <p class="state">no match</p>
                <p>{message}</p>
              </article>
            ))}
            {result.judged.slice(0, cards).map(cardOf)}
          </section>
        )}
        <ChoiceBar />
        <section aria-label="Cameras" class="cameras">
          {cameras.value.slice(0, columns).map(columnOf)}
          <DropArea
            class="new-camera"
            label="Frames of another camera"
            onFiles={takeFiles}
            after={<InputPicker />}
          >
            <p>
              <b>{cameras.value.length === 0 ? 'Drop frames of the chart here' : 'Another camera'}</b>
            </p>
            <p class="quiet">
              One still of the chart from each camera, or the folder of a show. PNG, TIFF, JPEG, WebP, clips
              that the browser plays, or readings as .csv. They stay on this machine.
            </p>
          </DropArea>
        </section>
        {cameras.value.length > 0 && (
          <p class="after-cameras">
            <button type="button" onClick={addSetup}>
              Add a setup
            </button>{' '}
            <span class="quiet">
              {setups.value.length > 1 ? `${setups.value.length} setups. ` : ''}One for each scene, lens or
              light in which the chart was shot.
            </span>
          </p>
        )}
      </main>
      <footer class="quiet">
        A match holds for the light in which the chart was shot. Look at faces and at the whole picture before
        you deliver, and check levels against the limits of your delivery.
      </footer>
    </>
  )
}

/** Hands a file to the browser, as if it had been a link. */
function save(blob: Blob, name: string): void {
  const link = document.createElement('a')
  link.href = URL.createObjectURL(blob)
  link.download = name
  link.click()
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000)
}
