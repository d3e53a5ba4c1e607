import { writeFileSync } from 'node:fs'
import { buoy47 } from '../src/chart/buoy47.ts'
import { regionOf } from '../src/chart/region.ts'
import { resolvePrimaries, xyzToRgb } from '../src/colour/primaries.ts'
import { srgb } from '../src/encoding/srgb.ts'
import { apply3 } from '../src/linear/mat3.ts'

/* Writes the print file of buoy47: A4 landscape, mm. A test holds its colours against the chart's values. */

const [left, top] = [35.5, 20]
const [width, height] = buoy47.regions.size
const toRgb = xyzToRgb(resolvePrimaries('bt709'))
const mm = (value: number) => String(+value.toFixed(2))

const hex = (value: readonly [number, number, number]) =>
  apply3(toRgb, value)
    .map((light) => Math.round(255 * srgb.encode(Math.max(0, light), 0)))
    .map((code) => code.toString(16).padStart(2, '0'))
    .join('')

const patches = buoy47.patches.map(({ name, value }, k) => {
  const region = regionOf(buoy47, k)
  const fill = value === undefined ? '000000' : hex(value)
  const title = `<title>${name}</title>`
  if ('circle' in region) {
    const { centre, radius } = region.circle
    const at = `cx="${mm(left + centre[0])}" cy="${mm(top + centre[1])}" r="${mm(radius)}"`
    // Where a lined hole goes: what is printed there is only its outline.
    const look =
      value === undefined ? 'fill="#000000" stroke="#777777" stroke-width="0.3"' : `fill="#${fill}"`
    return `<circle ${at} ${look}>${title}</circle>`
  }
  const points = region.polygon.map(([x, y]) => `${mm(left + x)},${mm(top + y)}`).join(' ')
  return `<polygon points="${points}" fill="#${fill}">${title}</polygon>`
})

const marks = [
  [left, top, -1, -1],
  [left + width, top, 1, -1],
  [left + width, top + height, 1, 1],
  [left, top + height, -1, 1],
].map(
  ([x, y, right, down]) =>
    `<path d="M${mm(x! + 2 * right!)} ${mm(y!)}h${7 * right!}M${mm(x!)} ${mm(y! + 2 * down!)}v${7 * down!}"/>`,
)

const text = (x: number, y: number, words: string, more = '') =>
  `<text x="${mm(x)}" y="${mm(y)}" font-family="sans-serif" font-size="3.4" fill="#777777"${more}>${words}</text>`

const lines = [
  '<rect width="297" height="210" fill="#ffffff"/>',
  '<rect x="8" y="8" width="281" height="194" fill="#202020"/>',
  ...patches,
  `<g stroke="#777777" stroke-width="0.4" fill="none">${marks.join('')}</g>`,
  text(left + 12, top + height + 7, 'corners: where the lines meet'),
  text(
    left + width - 12,
    top + height + 7,
    'buoy47 · print ____ · measured ____-__-__ · replace by ____-__-__',
    ' text-anchor="end"',
  ),
]

const svg = `<?xml version="1.0" encoding="UTF-8"?>
<!-- buoy47, print file: A4 landscape, colours as sRGB code values. docs/charts.md says how to print and measure it. -->
<svg xmlns="http://www.w3.org/2000/svg" width="297mm" height="210mm" viewBox="0 0 297 210">
  <title>buoy47: a ring of hues, skins, a crossed grey scale and a light trap</title>
${lines.map((line) => `  ${line}`).join('\n')}
</svg>
`
writeFileSync(new URL('../../../docs/prints/buoy47.svg', import.meta.url), svg)
