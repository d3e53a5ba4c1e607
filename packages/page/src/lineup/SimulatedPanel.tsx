import type { PanelState } from './feed.ts'
import { sendTurn } from './sendTurn.ts'

/** What one press turns, in the control's unit. */
const step = (name: string, unit: string) =>
  name === 'exposure' ? 0.05 : unit === '' ? 0.01 : name.startsWith('pedestal') ? 0.2 : 0.5

const digits = (name: string, unit: string) => (name === 'exposure' || unit === '' ? 2 : 1)

const signed = (value: number, places: number) => {
  const text = Math.abs(value).toFixed(places)
  return Number(text) === 0 ? text : `${value < 0 ? '−' : '+'}${text}`
}

/** The controls of a simulated camera, with buttons. */
export function SimulatedPanel({ panel: { camera, controls } }: { readonly panel: PanelState }) {
  return (
    <fieldset class="panel">
      <legend>
        <b>Simulation:</b> the controls of {camera}
      </legend>
      {controls.map(({ name, value, unit }) => {
        const by = step(name, unit)
        const turn = (sign: number) => void sendTurn({ camera, turn: { [name]: sign * by } })
        return (
          <div key={name} class="knob">
            <span>{name}</span>
            <button
              type="button"
              aria-label={`${name} of ${camera}, ${by} ${unit} less`}
              onClick={() => turn(-1)}
            >
              −
            </button>
            <output>
              {signed(value, digits(name, unit))} {unit}
            </output>
            <button
              type="button"
              aria-label={`${name} of ${camera}, ${by} ${unit} more`}
              onClick={() => turn(1)}
            >
              +
            </button>
          </div>
        )
      })}
      <button type="button" class="shoot" onClick={() => void sendTurn({ camera, shoot: true })}>
        Shoot the chart
      </button>
    </fieldset>
  )
}
