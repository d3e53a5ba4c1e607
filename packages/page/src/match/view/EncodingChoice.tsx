import { transferNames } from '@isochip/core'
import type { ShowEncoding } from '@isochip/show'
import { useComputed } from '@preact/signals'
import { setEncoding } from '../actions.ts'
import { type Camera, matched, namedFiles } from '../state.ts'

const words: Readonly<Record<string, string>> = {
  bt709: 'BT.709, as cameras record it',
  bt1886: 'BT.1886, as displays show it',
  bt2020: 'BT.2020',
  srgb: 'sRGB',
  pq: 'PQ (BT.2100)',
  hlg: 'HLG (BT.2100)',
  linear: 'linear light',
  acescct: 'ACEScct',
  acescc: 'ACEScc',
}

const log = {
  base: 10,
  logSideSlope: 0.25,
  logSideOffset: 0.4,
  linSideSlope: 5,
  linSideOffset: 0.05,
  linSideBreak: 0.01,
}

type Whole = Exclude<ShowEncoding, string>

const wholeOf = (encoding: ShowEncoding): Whole =>
  typeof encoding === 'string' ? { transfer: encoding } : encoding

/** An alternative's curve: a name, or its parameters as JSON. */
function wordsOf(transfer: string): string {
  if (!transfer.startsWith('{')) return words[transfer] ?? transfer
  const { power } = JSON.parse(transfer) as { power?: number }
  return power === undefined ? 'log, by other parameters' : `a power (gamma) of ${power}`
}

const kindOf = ({ transfer }: Whole) => (typeof transfer === 'string' ? transfer : Object.keys(transfer)[0]!)

/** How a camera's code values are to be read; where the chart speaks against it, what it might be instead. */
export function EncodingChoice({ camera }: { readonly camera: Camera }) {
  const encoding = wholeOf(camera.encoding)
  const { transfer, range = 'full' } = encoding
  const kind = kindOf(encoding)
  const change = (part: Partial<Whole>) => setEncoding(camera.key, { ...encoding, ...part })
  const doubted = useComputed(() => {
    const doubts = matched.value?.judged.flatMap((one) =>
      one.camera === camera.id && one.encodings !== undefined ? [one.encodings] : [],
    )
    return doubts?.find(({ length }) => length > 0) ?? doubts?.[0]
  }).value
  const chooseKind = (value: string) => {
    if (value === 'power') change({ transfer: { power: 2.4 } })
    else if (value === 'log') change({ transfer: { log } })
    else if (value !== 'table') change({ transfer: value as 'bt709' })
  }
  return (
    <div class="encoding">
      <label>
        Encoding{' '}
        <select value={kind} onChange={({ currentTarget }) => chooseKind(currentTarget.value)}>
          {transferNames.map((name) => (
            <option key={name} value={name}>
              {words[name] ?? name}
            </option>
          ))}
          <option value="power">a power (gamma)</option>
          <option value="log">log, by its parameters</option>
          <option value="measured">unknown: measure it on the chart</option>
          {kind === 'table' && <option value="table">from a 1D LUT</option>}
        </select>
      </label>{' '}
      <label>
        Range{' '}
        <select
          value={range}
          onChange={({ currentTarget }) => change({ range: currentTarget.value as 'full' })}
        >
          <option value="full">full</option>
          <option value="narrow">narrow (legal)</option>
        </select>
      </label>
      {typeof transfer === 'object' && 'power' in transfer && (
        <label class="parameter">
          Gamma{' '}
          <input
            type="number"
            step="0.05"
            min="0.1"
            value={transfer.power}
            onChange={({ currentTarget }) =>
              change({ transfer: { power: Number(currentTarget.value) || 2.4 } })
            }
          />
        </label>
      )}
      {typeof transfer === 'object' && 'log' in transfer && (
        <fieldset class="parameters">
          <legend>As in the Common LUT Format</legend>
          {Object.keys(log).map((name) => (
            <label key={name}>
              {name}{' '}
              <input
                type="number"
                step="any"
                value={transfer.log[name as 'base'] ?? ''}
                onChange={({ currentTarget }) => {
                  const { [name as 'base']: _, ...rest } = transfer.log
                  const text = currentTarget.value
                  change({ transfer: { log: text === '' ? rest : { ...rest, [name]: Number(text) } } })
                }}
              />
            </label>
          ))}
        </fieldset>
      )}
      <label class="choose small">
        Curve from a 1D LUT …
        <input
          type="file"
          class="file-input"
          accept=".cube,.clf,.xml"
          aria-label={`1D LUT that makes ${camera.id} linear`}
          onChange={({ currentTarget }) => {
            const file = currentTarget.files?.[0]
            if (file === undefined) return
            namedFiles.value = { ...namedFiles.value, [file.name]: file }
            change({ transfer: { table: file.name } })
          }}
        />
      </label>
      <p class="quiet">
        As the camera recorded it. Where the chart contradicts it, you are told here and in the verdict.
      </p>
      {doubted !== undefined && (
        <div class="note doubt">
          <p>
            The chart contradicts this encoding.{' '}
            {doubted.length > 0
              ? 'It might be:'
              : 'None of the usual ones fits better: the verdict says what would help.'}
          </p>
          {doubted.length > 0 && (
            <ul>
              {doubted.map(({ transfer: name, range: other, mean }) => (
                <li key={`${name} ${other}`}>
                  <button
                    type="button"
                    onClick={() =>
                      change({
                        transfer: JSON.parse(name.startsWith('{') ? name : JSON.stringify(name)),
                        range: other as 'full',
                      })
                    }
                  >
                    {wordsOf(name)}, {other}
                  </button>{' '}
                  would leave ΔE00 {mean.toFixed(2)}
                </li>
              ))}
            </ul>
          )}
        </div>
      )}
    </div>
  )
}
