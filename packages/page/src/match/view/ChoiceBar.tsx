import { builtinCharts, modelKinds } from '@isochip/core'
import { outputFormats } from '@isochip/show'
import { choose } from '../actions.ts'
import { choiceWords } from '../choiceWords.ts'
import { cameras, choices, namedFiles, referenceCamera, type TargetChoice } from '../state.ts'

const formatWords: Readonly<Record<string, string>> = {
  cube: '.cube',
  clf: 'Common LUT Format',
  'clf-live': 'CLF for live boxes (33³)',
  cdl: 'ASC CDL',
  ocio: 'OpenColorIO config',
}

/** What is matched to what, and how: right for most as it stands, each with what it is for. */
export function ChoiceBar() {
  const { chart, target, white, model, curve, formats, bounded, mean, max } = choices.value
  const number = (value: string, before: number) => (Number(value) > 0 ? Number(value) : before)
  const title = builtinCharts.find(({ id }) => id === chart)?.title ?? chart
  const to = {
    camera: referenceCamera.value?.id ?? 'the first camera',
    reference: 'the chart’s own values',
    consensus: 'the mean of all',
  }[target]
  const luts = formats.map((format) => formatWords[format] ?? format).join(', ')
  return (
    <details class="settings">
      <summary>
        Settings: {title}; matched to {to}; {choiceWords.model[model] ?? model}; {luts}
      </summary>
      <div class="choices">
        <label>
          Chart
          <select value={chart} onChange={({ currentTarget }) => choose({ chart: currentTarget.value })}>
            {builtinCharts.map(({ id, title }) => (
              <option key={id} value={id}>
                {title}
              </option>
            ))}
            {!builtinCharts.some(({ id }) => id === chart) && <option value={chart}>{chart}</option>}
          </select>
          <small>which chart was shot</small>
        </label>
        <label>
          Matched to
          <select
            value={target}
            onChange={({ currentTarget }) => choose({ target: currentTarget.value as TargetChoice })}
          >
            <option value="camera">one camera</option>
            <option value="reference">the chart’s own values</option>
            <option value="consensus">the mean of all</option>
          </select>
          <small>what all cameras go to</small>
        </label>
        {target === 'camera' && cameras.value.length > 0 && (
          <label>
            Reference camera
            <select
              value={String(referenceCamera.value?.key)}
              onChange={({ currentTarget }) => choose({ reference: Number(currentTarget.value) })}
            >
              {cameras.value.map(({ key, id }) => (
                <option key={key} value={String(key)}>
                  {id}
                </option>
              ))}
            </select>
            <small>the others are matched to it</small>
          </label>
        )}
        {target === 'reference' && (
          <label>
            White
            <input
              value={white}
              onChange={({ currentTarget }) => choose({ white: currentTarget.value.trim() || 'D65' })}
            />
            <small>such as D65 or D50</small>
          </label>
        )}
        <label>
          Model
          <select
            value={model}
            onChange={({ currentTarget }) => choose({ model: currentTarget.value as 'auto' })}
          >
            {[...modelKinds, 'auto' as const].map((kind) => (
              <option key={kind} value={kind}>
                {choiceWords.model[kind] ?? kind}
              </option>
            ))}
          </select>
          <small>the matrix is right for most</small>
        </label>
        <label>
          Curve
          <select
            value={curve}
            onChange={({ currentTarget }) => choose({ curve: currentTarget.value as 'declared' })}
          >
            {Object.entries(choiceWords.curve).map(([value, words]) => (
              <option key={value} value={value}>
                {words}
              </option>
            ))}
          </select>
          <small>another one only where the encoding is in doubt</small>
        </label>
        <fieldset>
          <legend>LUTs</legend>
          {outputFormats.map((format) => (
            <label key={format} class="tick">
              <input
                type="checkbox"
                checked={formats.includes(format)}
                onChange={({ currentTarget }) => {
                  const others = formats.filter((one) => one !== format)
                  const next = currentTarget.checked ? [...others, format] : others
                  if (next.length > 0) choose({ formats: outputFormats.filter((one) => next.includes(one)) })
                  else currentTarget.checked = true
                }}
              />{' '}
              {formatWords[format] ?? format}
            </label>
          ))}
          <label class="tick">
            <input
              type="checkbox"
              checked={bounded}
              onChange={({ currentTarget }) => choose({ bounded: currentTarget.checked })}
            />{' '}
            nodes within 0…1, for LUT boxes that store integers
          </label>
        </fieldset>
        <label>
          Mean ΔE00 up to
          <input
            type="number"
            min="0.1"
            step="0.1"
            value={mean}
            onChange={({ currentTarget }) => choose({ mean: number(currentTarget.value, mean) })}
          />
          <small>is within tolerance</small>
        </label>
        <label>
          Worst patch up to
          <input
            type="number"
            min="0.1"
            step="0.1"
            value={max}
            onChange={({ currentTarget }) => choose({ max: number(currentTarget.value, max) })}
          />
          <small>ΔE00 of any one patch</small>
        </label>
        <label class="choose small">
          Chart file …
          <input
            type="file"
            class="file-input"
            accept=".json,.yaml,.yml"
            aria-label="Chart file of a chart of your own"
            onChange={({ currentTarget }) => {
              const file = currentTarget.files?.[0]
              if (file === undefined) return
              namedFiles.value = { ...namedFiles.value, [file.name]: file }
              choose({ chart: file.name })
            }}
          />
        </label>
      </div>
    </details>
  )
}
