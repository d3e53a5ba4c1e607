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
import { residualBars } from '../plots/residualBars.ts'
import { type Band, isEmbedded, type SharedPictures, splitFrame } from '../plots/splitFrame.ts'
import { leavesScope, type VectorscopeData, vectorscope } from '../plots/vectorscope.ts'
import type { CameraReport, Picture, ShowReport } from '../showReport.ts'
import { bars75, boxHalf, skinDegrees } from '../signal/bars75.ts'
import { cameraHexagon } from '../signal/cameraHexagon.ts'
import { type PatchSignals, patchSignals } from '../signal/patchSignals.ts'
import { viewWords } from '../words.ts'
import { type Markup, markup } from './markup.ts'
import { figure, type NumbersRow, numbers } from './numbers.ts'

const three = (code: Vec3, text: (value: number) => string) => code.map(text)
const deviation = (code: PatchSignals['code'], stage: 'source' | 'matched') =>
  [0, 1, 2].map((i) => signedPercentText(code[stage][i]! - code.target[i]!))

/** The numbers behind all pictures of a camera, patch by patch, in one table. */
function patchNumbers(patches: readonly PatchSignals[], camera: CameraReport, report: ShowReport): Markup {
  const { match, isTarget } = camera
  const field = isTarget ? undefined : evennessField(camera, report)
  const excludes = patches.some(({ result }) => result.excluded !== undefined)
  const rgb = ['R′', 'G′', 'B′']
  const stages = isTarget ? [''] : [' as shot', ' matched', ' target']
  const heads = [
    ...stages.flatMap((stage) => rgb.map((channel) => `${channel}${stage} %`)),
    ...stages.flatMap((stage) => [`Cb${stage}`, `Cr${stage}`]),
    ...(isTarget ? [] : ['ΔE00 as shot', 'balanced', 'matched', 'each left out', 'weight']),
    ...(field === undefined ? [] : ['light, stops']),
    ...(excludes ? ['left out because'] : []),
  ]
  const row = ({ index, name, code, ycbcr, result }: PatchSignals): NumbersRow => {
    const { dE00, leaveOneOut, weight, excluded } = result
    const signals = isTarget ? (['target'] as const) : (['source', 'matched', 'target'] as const)
    return {
      patch: index,
      name,
      cells: [
        ...signals.flatMap((stage) => three(code[stage], percentText)),
        ...signals.flatMap((stage) => [chromaText(ycbcr[stage].cb), chromaText(ycbcr[stage].cr)]),
        ...(isTarget
          ? []
          : [
              ...[dE00.before, dE00.balanced, dE00.after].map(deltaEText),
              leaveOneOut === undefined ? '' : deltaEText(leaveOneOut),
              weightText(weight),
            ]),
        ...(field === undefined ? [] : [stopsText(field[index]!)]),
        ...(excludes ? [excluded] : []),
      ],
    }
  }
  const own = isTarget ? undefined : cameraHexagon(match, report.working)
  const steps = isTarget ? [] : greySteps(patches)
  return markup`${numbers('patches', 'patch', heads, patches.map(row))}${
    steps.length > 1 &&
    numbers(
      'grey scale, deviation from the target in %',
      'step',
      heads.slice(0, 6),
      steps.map(({ index, name, code }) => ({
        patch: index,
        name,
        cells: [...deviation(code, 'source'), ...deviation(code, 'matched')],
      })),
    )
  }${
    own !== undefined &&
    numbers(
      '75 % bars through this camera, before the matrix',
      'bar',
      ['Cb', 'Cr'],
      own.map(({ cb, cr }, i) => ({ name: bars75[i]!.name, cells: [chromaText(cb), chromaText(cr)] })),
    )
  }`
}

function patchFields(patches: readonly PatchSignals[], report: ShowReport, who: string): Markup {
  return figure(
    'Patches',
    'Above left as shot, above right matched, below the target. ΔE00 matched, or as shot where only that is shown; ▲ beyond the tolerance’s worst. Shown as sRGB: what the screen cannot show is clipped.',
    fields(patches, report.chart, report.tolerance.max, `${who}: every patch as shot, matched and target`),
  )
}

/** What the vectorscope of a camera shows. */
export function cameraScope(camera: CameraReport, report: ShowReport): VectorscopeData {
  const patches = patchSignals(camera.match.patches, report.chart, report.working)
  return { patches, hexagon: cameraHexagon(camera.match, report.working) }
}

function scopeFigure(data: VectorscopeData, reach: number, who: string) {
  return figure(
    'Vectorscope',
    `BT.709 Cb and Cr. Ring as shot, disc matched, cross target. Boxes: 75 % bars ± ${percentText(boxHalf)} %.${data.hexagon === undefined ? '' : ' Broken hexagon: the same bars through this camera, levels balanced, before the matrix.'} Dotted: skin line, ${skinDegrees}°.${leavesScope(data, reach) ? ' What is further out than the edge is cut off.' : ''}`,
    vectorscope(data, reach, `${who}: vectorscope, patches as shot and matched`),
  )
}

function missFigure(patches: readonly PatchSignals[], who: string): Markup {
  const factor = missFactor(patches)
  const longer = factor === 1 ? 'to scale' : `${factor} times as long as it is`
  return figure(
    'What is still missed, and to which side',
    `From each target a stroke to where the match puts it, ${longer}. All leaning one way: a cast. Turning round the middle: hue. Without order: no matrix removes it.`,
    misses(patches, 440, `${who}: remaining differences in Cb and Cr, ${longer}`),
  )
}

function greyFigures(patches: readonly PatchSignals[], who: string): Markup[] {
  const steps = greySteps(patches)
  if (steps.length < 2) return []
  const size = { width: 520, height: 340 }
  const twice = steps.some((step, i) => i > 0 && Math.abs(stepLevel(step) - stepLevel(steps[i - 1]!)) < 0.005)
  return [
    figure(
      'Grey scale, levels in percent',
      'Disc R′, square G′, triangle B′ of every neutral. Open and broken as shot, full matched; on the slant nothing is off. BT.709 signal.',
      greyLevels(patches, size, `${who}: grey scale, levels as shot and matched over the target’s level`),
    ),
    figure(
      'Grey scale, deviation in percent',
      `The same, less the target. A channel that leaves the others is a cast; all three together are exposure or the curve.${twice ? ' Greys that are twice on the chart should meet; where they part, the light is uneven.' : ''}`,
      greyDeviation(patches, size, `${who}: grey scale, deviation from the target as shot and matched`),
    ),
  ]
}

function residualFigure(patches: readonly PatchSignals[], report: ShowReport, who: string): Markup {
  return figure(
    'ΔE00 per patch, worst first',
    `Bar: matched. Stroke: the same patch under a match that never saw it. Ring, and figure at the right: as shot. Broken lines: tolerance. ΔE00 ${viewWords[report.view]}.`,
    residualBars(patches, report.tolerance, `${who}: ΔE00 of every patch, worst first`),
    undefined,
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
  const stages: readonly (Omit<Band, 'picture'> & { readonly picture: Picture | undefined })[] = [
    { name: 'as shot', stage: 'as', picture: before },
    { name: 'matched', stage: 'mt', picture: after },
    { name: 'target', stage: 'target', picture: target },
  ]
  const bands = stages.flatMap(({ picture, ...band }): Band[] =>
    picture === undefined ? [] : [{ ...band, picture }],
  )
  return [
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
          ),
        ]),
    ...(sampling === undefined
      ? []
      : [
          figure(
            'Sampled areas',
            'Where the readings come from. An area that lies off its patch spoils the match: look.',
            markup`<img src="${sampling.uri}" width="${sampling.width}" height="${sampling.height}" alt="${who}: frame with the sampled areas">`,
          ),
        ]),
  ]
}

/** Stops of light on each patch of the chart, where the match knows it. */
function evennessField({ match }: CameraReport, { chart }: ShowReport): readonly number[] | undefined {
  const field = match.diagnosis.evenness?.field
  return field?.length === chart.patches.length ? field : undefined
}

function evennessFigure(camera: CameraReport, report: ShowReport, who: string): Markup | undefined {
  const { evenness } = camera.match.diagnosis
  const field = evennessField(camera, report)
  if (evenness === undefined || field === undefined) return undefined
  const stops = stopsSizeText(evenness.stops)
  const error = stopsSizeText(evenness.standardError)
  return figure(
    'Evenness of the light over the chart',
    `${stops} ± ${error} stop from darkest to brightest, ${evenness.divided ? 'divided out' : 'not divided out'}. Full spot brighter, open spot darker than the mean, in stops. Good is within a tenth of a stop.`,
    evennessMap(field, report.chart, `${who}: light over the chart in stops`),
  )
}

/** Every picture of one camera in one setup, and the numbers behind them. `id` is unique in the page. */
export function cameraFigures(
  camera: CameraReport,
  report: ShowReport,
  { id, reach, shared }: { readonly id: string; readonly reach: number; readonly shared: SharedPictures },
): Markup {
  const data = cameraScope(camera, report)
  const { patches } = data
  const who = `${camera.camera}, ${camera.setup}`
  return markup`<div class="figures">${patchFields(patches, report, who)}${scopeFigure(data, reach, who)}${frameFigures(camera, who, id, shared)}${
    !camera.isTarget && [
      residualFigure(patches, report, who),
      missFigure(patches, who),
      greyFigures(patches, who),
      evennessFigure(camera, report, who),
    ]
  }</div>${patchNumbers(patches, camera, report)}`
}
