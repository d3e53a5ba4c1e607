import { useSignal } from '@preact/signals'
import { sentences } from '../../match/sentences.ts'
import { type Camera, choices, namedFiles } from '../../match/state.ts'
import { ask, failureOf } from '../../match/workers.ts'
import { keepInput } from '../inputsAtHand.ts'
import type { LiveInput } from '../LiveInput.ts'
import type { FormSource } from '../rememberedInputs.ts'
import type { ChartVerdict } from '../worker/formByChart.ts'
import { type SignalForm, signalMatrices } from './signalForm.ts'

const matrixWords = { bt709: 'BT.709', bt601: 'BT.601', bt2020: 'BT.2020' } as const

const sourceWords: Readonly<Record<FormSource, string>> = {
  assumed: 'assumed, not checked: sticks differ in this',
  browser: 'as the browser says, not checked',
  bars: 'checked on colour bars',
  chart: 'checked on the chart',
  hand: 'set by hand',
}

/** Frames that the chart is judged on. */
const framesOfCheck = 16

const sameForm = (one: SignalForm, other: SignalForm) =>
  one.matrix === other.matrix && one.range === other.range

function chartWords(
  { form, matrix, range, left, next }: ChartVerdict,
  was: SignalForm,
  isRgb: boolean,
): string {
  const parts = [
    ...(isRgb ? [] : ([['matrix', matrix, matrixWords[form.matrix]]] as const)),
    ['range', range, form.range] as const,
  ]
  const told = parts.filter(([, is]) => is).map(([name, , value]) => `${name} ${value}`)
  const open = parts.filter(([, is]) => !is).map(([name, , value]) => `${name} (taken as ${value})`)
  const figures = `Mean ΔE00 ${left.toFixed(1)} is left by it, ${next.toFixed(1)} or more by another.`
  const bars = `The chart cannot tell the ${open.join(' or ')}: send colour bars.`
  if (told.length === 0) return bars
  const kept = sameForm(form, was) ? 'as it is set' : 'which is set now'
  return [
    `The chart says: ${told.join(', ')}, ${kept}. ${figures}`,
    ...(open.length > 0 ? [bars] : ['It is kept for this input.']),
  ].join(' ')
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
  const chart = async () => {
    said.value = 'Looking at the chart …'
    try {
      const form = live.form.value
      const grab = await live.average(framesOfCheck)
      if (grab === undefined) return
      const { chart: name } = choices.value
      const verdict = await ask<'form'>({
        kind: 'form',
        grab,
        form,
        signal: delivered.kind,
        chart: name,
        files: namedFiles.value,
        encoding: camera.encoding,
      })
      const whole = verdict.range && (isRgb || verdict.matrix)
      if (whole || !sameForm(verdict.form, form)) set(verdict.form, whole ? 'chart' : live.formSource.value)
      said.value = chartWords(verdict, form, isRgb)
    } catch (cause) {
      said.value = sentences(failureOf(cause))
    }
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
        <span class="quiet">send bars of 75 or 100 % from the camera: the surest way</span>
      </p>
      <p>
        <button
          type="button"
          disabled={live.averaging.value || live.sight.value === undefined}
          onClick={() => void chart()}
        >
          Check on the chart
        </button>{' '}
        <span class="quiet">where no bars can be sent; the encoding above has to be right</span>
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
