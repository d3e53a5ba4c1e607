import { useSignal } from '@preact/signals'
import type { Camera } from '../match/state.ts'
import { keepInput } from './inputsAtHand.ts'
import type { LiveInput } from './LiveInput.ts'
import type { FormSource } from './rememberedInputs.ts'
import { type SignalForm, signalMatrices } from './signalForm.ts'

const matrixWords = { bt709: 'BT.709', bt601: 'BT.601', bt2020: 'BT.2020' } as const

const sourceWords: Readonly<Record<FormSource, string>> = {
  assumed: 'assumed, not checked: sticks differ in this',
  browser: 'as the browser says, not checked',
  bars: 'checked on colour bars',
  hand: 'set by hand',
}

/** What the codes of an input are taken for, by what that is known, and how to find it out. */
export function SignalChoice({ camera, live }: { readonly camera: Camera; readonly live: LiveInput }) {
  const said = useSignal('')
  const { matrix, range } = live.form.value
  const delivered = live.delivered.value
  if (delivered === undefined) return null
  const isRgb = delivered.kind === 'rgb'
  const set = (form: SignalForm, source: FormSource) => {
    live.setForm(form, source)
    keepInput(camera.key)
  }
  const bars = async () => {
    said.value = 'Looking at the bars …'
    const verdict = await live.lookAtBars()
    if (verdict === undefined) {
      said.value =
        'These are no colour bars that one reading fits alone. Send bars of 75 or 100 % over the whole picture from the camera, then look again.'
      return
    }
    set(verdict.form, 'bars')
    const told = `${isRgb ? 'R′G′B′' : matrixWords[verdict.form.matrix]}, ${verdict.form.range} range`
    said.value = `Bars of ${100 * verdict.level} % say: ${told}, ${verdict.off.toFixed(1)} codes off in the mean. It is kept for this input.`
  }
  return (
    <details class="signal">
      <summary>
        {delivered.width} × {delivered.height}, {isRgb ? 'R′G′B′' : `Y′CbCr by ${matrixWords[matrix]}`},{' '}
        {range} range <small class="known">{sourceWords[live.formSource.value]}</small>
      </summary>
      <p>
        <button type="button" onClick={() => void bars()}>
          Check on colour bars
        </button>{' '}
        <span class="quiet">send bars of 75 or 100 % from the camera</span>
      </p>
      <p role="status">{said.value}</p>
      <p>
        {!isRgb && (
          <label>
            Matrix{' '}
            <select
              value={matrix}
              onChange={({ currentTarget }) => set({ matrix: currentTarget.value as 'bt709', range }, 'hand')}
            >
              {signalMatrices.map((name) => (
                <option key={name} value={name}>
                  {matrixWords[name]}
                </option>
              ))}
            </select>
          </label>
        )}{' '}
        <label>
          Levels{' '}
          <select
            value={range}
            onChange={({ currentTarget }) => set({ matrix, range: currentTarget.value as 'full' }, 'hand')}
          >
            <option value="narrow">narrow (legal)</option>
            <option value="full">full</option>
          </select>
        </label>
      </p>
    </details>
  )
}
