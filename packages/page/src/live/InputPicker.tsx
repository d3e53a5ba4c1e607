import { useSignal } from '@preact/signals'
import { addLiveCamera, findInputs, liveInputs, offered } from './inputsAtHand.ts'

/** Video inputs of this machine, each to be made a camera. */
export function InputPicker() {
  const asking = useSignal(false)
  const used = new Set([...liveInputs.value.values()].map(({ input }) => input.id))
  const free = offered.value?.filter(({ id }) => !used.has(id))
  const find = async () => {
    asking.value = true
    await findInputs()
    asking.value = false
  }
  return (
    <div class="inputs">
      <button type="button" disabled={asking.value} onClick={find}>
        {offered.value === undefined ? 'Use a live input …' : 'Look for inputs again'}
      </button>
      {asking.value && (
        <p role="status" class="quiet">
          The browser asks whether this page may look at video inputs …
        </p>
      )}
      {free !== undefined && free.length > 0 && (
        <ul aria-label="Video inputs">
          {free.map((input) => (
            <li key={input.id}>
              <button type="button" onClick={() => void addLiveCamera(input)}>
                Add {input.label}
              </button>
            </li>
          ))}
        </ul>
      )}
      {free !== undefined && free.length === 0 && (
        <p class="quiet">
          {used.size === 0 ? 'No video input is there.' : 'All video inputs are in use already.'}
        </p>
      )}
    </div>
  )
}
