import { fieldShapes } from '../plots/camera/fields.ts'
import { greyMarks } from '../plots/camera/greyScale.ts'
import { rowShape } from '../plots/camera/residualBars.ts'
import { graticule } from '../plots/camera/vectorscope.ts'
import { waveformGraticule } from '../plots/camera/waveform.ts'
import type { Limit } from '../verdict.ts'
import { type Markup, markup } from './markup.ts'

const strokes: Record<Limit, string> = {
  noise: 'M1 1h1M5 5h1',
  clipping: 'M0 4h8',
  unevenness: 'M0 8L8 0',
  curve: 'M0 0L8 8M0 8L8 0',
  foreign: 'M1 1h3v3h-3zM5 5h3',
  spectral: 'M4 0v8',
  undetermined: 'M3 3h1M7 7h1',
}

/** What pictures share, and `more`; `reach` is that of the page's vectorscopes. */
export const definitions = (reach: number, more: Markup): Markup =>
  markup`<svg width="0" height="0" aria-hidden="true" focusable="false"><defs>${(Object.entries(strokes)).map(
    ([key, d]) =>
      markup`<pattern id="texture-${key}" width="8" height="8" patternUnits="userSpaceOnUse"><path d="${d}"/></pattern>`,
  )}${greyMarks}${fieldShapes}${rowShape}${graticule(reach)}${waveformGraticule}${more}</defs></svg>`
