import type { Vec3 } from '@isochip/core'
import {
  chromaText,
  deltaEText,
  percentText,
  signedPercentText,
  stopsSizeText,
  stopsText,
  weightText,
} from '../digits.ts'
import { evennessMap } from '../plots/evennessMap.ts'
import { fields } from '../plots/fields.ts'
import { greyDeviation, greyLevels, greySteps, stepLevel } from '../plots/greyScale.ts'
import { misses, missFactor } from '../plots/misses.ts'
import { residualBars, worstFirst } from '../plots/residualBars.ts'
import { isEmbedded, type SharedPictures, splitFrame } from '../plots/splitFrame.ts'
import { vectorscope } from '../plots/vectorscope.ts'
import type { CameraReport, Picture, ShowReport } from '../showReport.ts'
import { bars75, boxHalf, skinDegrees } from '../signal/bars75.ts'
import { cameraHexagon } from '../signal/cameraHexagon.ts'
import { type PatchSignals, patchSignals } from '../signal/patchSignals.ts'
import { viewWords } from '../words.ts'
import { type Markup, markup } from './markup.ts'
import { figure, numbers } from './numbers.ts'

const stages = ['as shot', 'matched', 'target'] as const
const rgbHeads = stages.flatMap((stage) => ['R′', 'G′', 'B′'].map((channel) => `${channel} ${stage}`))
const percent3 = (code: Vec3) => code.map(percentText)

function patchFields(patches: readonly PatchSignals[], report: ShowReport, who: string): Markup {
  const rows = patches.map(({ index, name, code }) => ({
    patch: index,
    name,
    cells: [...percent3(code.source), ...percent3(code.matched), ...percent3(code.target)],
  }))
  return figure(
    'Patches',
    'Above left as shot, above right matched, below the target. ΔE00 after the match; ▲ beyond the tolerance’s worst. Shown as sRGB: what the screen cannot show is clipped.',
    fields(patches, report.chart, report.tolerance.max, `${who}: every patch as shot, matched and target`),
    numbers('patches, % of the BT.709 signal', 'patch', rgbHeads, rows),
  )
}

function scopeFigure(
  patches: readonly PatchSignals[],
  camera: CameraReport,
  report: ShowReport,
  who: string,
) {
  const hexagon = cameraHexagon(camera.match, report.working)
  const own = hexagon?.map(({ cb, cr }, i) => ({
    name: `75 % ${bars75[i]!.name}, this camera`,
    cells: [chromaText(cb), chromaText(cr), '', '', '', ''],
  }))
  const rows = patches.map(({ index, name, ycbcr: { source, matched, target } }) => ({
    patch: index,
    name,
    cells: [source, matched, target].flatMap(({ cb, cr }) => [chromaText(cb), chromaText(cr)]),
  }))
  const heads = stages.flatMap((stage) => [`Cb ${stage}`, `Cr ${stage}`])
  return figure(
    'Vectorscope',
    `BT.709 Cb and Cr. Ring as shot, disc matched, cross target. Boxes: 75 % bars ± ${percentText(boxHalf)} %.${hexagon === undefined ? '' : ' Broken hexagon: the same bars through this camera, levels balanced, before the matrix.'} Dotted: skin line, ${skinDegrees}°.`,
    vectorscope({ patches, hexagon }, 440, `${who}: vectorscope, patches as shot and matched`),
    numbers('vectorscope', 'patch', heads, [...rows, ...(own ?? [])]),
  )
}

function missFigure(patches: readonly PatchSignals[], who: string): Markup {
  const factor = missFactor(patches)
  const longer = factor === 1 ? 'to scale' : `${factor} times as long as it is`
  return figure(
    'What is still missed, and to which side',
    `From each target a stroke to where the match puts it, ${longer}. All leaning one way: a cast. Turning round the middle: hue. Without order: no matrix removes it.`,
    misses(
      patches,
      440,
      `${who}: remaining differences in Cb and Cr, ${longer}; its numbers are under the vectorscope`,
    ),
    undefined,
  )
}

function greyFigures(patches: readonly PatchSignals[], who: string): Markup[] {
  const steps = greySteps(patches)
  if (steps.length < 2) return []
  const size = { width: 520, height: 340 }
  const twice = steps.some((step, i) => i > 0 && Math.abs(stepLevel(step) - stepLevel(steps[i - 1]!)) < 0.005)
  const off = (code: PatchSignals['code'], stage: 'source' | 'matched') =>
    [0, 1, 2].map((i) => signedPercentText(code[stage][i]! - code.target[i]!))
  const deviations = steps.map(({ index, name, code }) => ({
    patch: index,
    name,
    cells: [...off(code, 'source'), ...off(code, 'matched')],
  }))
  return [
    figure(
      'Grey scale, levels in percent',
      'Disc R′, square G′, triangle B′ of every neutral. Open and broken as shot, full matched; on the slant nothing is off. BT.709 signal.',
      greyLevels(
        patches,
        size,
        `${who}: grey scale, levels as shot and matched over the target’s level; its numbers are under the patches`,
      ),
      undefined,
    ),
    figure(
      'Grey scale, deviation in percent',
      `The same, less the target. A channel that leaves the others is a cast; all three together are exposure or the curve.${twice ? ' Greys that are twice on the chart should meet; where they part, the light is uneven.' : ''}`,
      greyDeviation(patches, size, `${who}: grey scale, deviation from the target as shot and matched`),
      numbers('deviation, %', 'step', rgbHeads.slice(0, 6), deviations),
    ),
  ]
}

function residualFigure(patches: readonly PatchSignals[], report: ShowReport, who: string): Markup {
  const rows = worstFirst(patches).map(
    ({ index, name, result: { dE00, leaveOneOut, weight, excluded } }) => ({
      patch: index,
      name,
      cells: [
        ...[dE00.before, dE00.balanced, dE00.after].map(deltaEText),
        leaveOneOut === undefined ? '' : deltaEText(leaveOneOut),
        weightText(weight),
        markup`${excluded ?? ''}`,
      ],
    }),
  )
  const heads = ['as shot', 'balanced', 'matched', 'each left out', 'weight', 'left out because']
  return figure(
    'ΔE00 per patch, worst first',
    `Bar: matched. Stroke: the same patch under a match that never saw it. Ring, and figure at the right: as shot. Broken lines: tolerance. ΔE00 ${viewWords[report.view]}.`,
    residualBars(patches, report.tolerance, 520, `${who}: ΔE00 of every patch, worst first`),
    numbers('ΔE00', 'patch', heads, rows),
    patches.length > 30 ? 'tall' : '',
  )
}

function frameFigures(
  { pictures, isTarget }: CameraReport,
  who: string,
  id: string,
  shared: SharedPictures,
): Markup[] {
  const embedded = (picture: Picture | undefined) =>
    picture !== undefined && isEmbedded(picture) ? picture : undefined
  const sampling = embedded(pictures?.sampling)
  const before = embedded(pictures?.before)
  const after = embedded(pictures?.after)
  const target = embedded(pictures?.target)
  const bands = [
    ...(before === undefined ? [] : [{ name: 'as shot', picture: before }]),
    ...(after === undefined ? [] : [{ name: 'matched', picture: after }]),
    ...(target === undefined ? [] : [{ name: 'target', picture: target }]),
  ]
  return [
    ...(sampling === undefined
      ? []
      : [
          figure(
            'Sampled areas',
            'Where the readings come from. An area that lies off its patch spoils the match: look.',
            markup`<img src="${sampling.uri}" width="${sampling.width}" height="${sampling.height}" alt="${who}: frame with the sampled areas">`,
            undefined,
          ),
        ]),
    ...(isTarget || before === undefined || after === undefined
      ? []
      : [
          figure(
            'The frame, in bands',
            target === undefined
              ? 'As shot and matched, each in its place.'
              : 'As shot, matched, and the target camera’s own frame, each in its place.',
            splitFrame(
              bands,
              { id, shared },
              `${who}: one frame in bands: ${bands.map(({ name }) => name).join(', ')}`,
            ),
            undefined,
          ),
        ]),
  ]
}

function evennessFigure({ match }: CameraReport, { chart }: ShowReport, who: string): Markup | undefined {
  const { evenness } = match.diagnosis
  if (evenness === undefined || evenness.field.length !== chart.patches.length) return undefined
  const stops = stopsSizeText(evenness.stops)
  const error = stopsSizeText(evenness.standardError)
  const rows = chart.patches.map(({ name }, i) => ({
    patch: i,
    name,
    cells: [stopsText(evenness.field[i]!)],
  }))
  return figure(
    'Evenness of the light over the chart',
    `${stops} ± ${error} stop from darkest to brightest, ${evenness.divided ? 'divided out' : 'not divided out'}. Full spot brighter, open spot darker than the mean, in stops. Good is within a tenth of a stop.`,
    evennessMap(evenness.field, chart, `${who}: light over the chart in stops`),
    numbers('evenness', 'patch', ['stops'], rows),
  )
}

/** Every picture of one camera in one setup. `id` is unique in the page. */
export function cameraFigures(
  camera: CameraReport,
  report: ShowReport,
  id: string,
  shared: SharedPictures,
): Markup {
  const patches = patchSignals(camera.match.patches, report.chart, report.working)
  const who = `${camera.camera}, ${camera.setup}`
  const shown = camera.isTarget
    ? [patchFields(patches, report, who), scopeFigure(patches, camera, report, who)]
    : [
        patchFields(patches, report, who),
        scopeFigure(patches, camera, report, who),
        residualFigure(patches, report, who),
        missFigure(patches, who),
        greyFigures(patches, who),
        evennessFigure(camera, report, who),
      ]
  return markup`<div class="figures">${shown}${frameFigures(camera, who, id, shared)}</div>`
}
