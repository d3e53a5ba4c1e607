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
import { waveform } from '../plots/waveform.ts'
import type { CameraReport, Picture, ShowReport } from '../showReport.ts'
import { bars75, boxHalf, skinDegrees } from '../signal/bars75.ts'
import { cameraHexagon } from '../signal/cameraHexagon.ts'
import { isDelivery, outputSignals } from '../signal/levels.ts'
import { type PatchSignals, patchSignals } from '../signal/patchSignals.ts'
import { encodingText, viewWords } from '../words.ts'
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
    ...(isTarget ? [] : ['ΔE00 as shot', 'balanced', 'matched', 'leave-one-out', 'weight']),
    ...(field === undefined ? [] : ['light, stops']),
    ...(excludes ? ['excluded because'] : []),
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
      '75 % bars through this camera, without the matrix',
      'bar',
      ['Cb', 'Cr'],
      own.map(({ cb, cr }, i) => ({ name: bars75[i]!.name, cells: [chromaText(cb), chromaText(cr)] })),
    )
  }`
}

function patchFields(patches: readonly PatchSignals[], report: ShowReport, who: string): Markup {
  return figure(
    'Patches',
    'Top left: as shot; top right: matched; bottom: target; all as sRGB. Figure: ΔE00 matched; ▲ above the worst of the tolerance.',
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
    `BT.709 Cb and Cr. ○ as shot, ● matched, + target. Boxes: 75 % bars ± ${percentText(boxHalf)} %.${data.hexagon === undefined ? '' : ' Dashed hexagon: the same bars through this camera, balanced, without the matrix.'} Dotted: skin line, ${skinDegrees}°.${leavesScope(data, reach) ? ' What lies beyond the edge is cut off.' : ''}`,
    vectorscope(data, reach, `${who}: vectorscope, patches as shot and matched`),
  )
}

/** What a waveform monitor would show: the output of the LUT, or BT.709 where that is no signal to look at. */
function waveformFigure(
  camera: CameraReport,
  { patches }: VectorscopeData,
  { chart, working }: ShowReport,
  who: string,
): Markup {
  const delivery = isDelivery(camera.outputEncoding)
  const code = outputSignals(camera, working)
  return figure(
    'Waveform of the chart',
    `R′, G′ and B′ of each patch at its place across the chart, ${delivery ? `as the LUT puts it out (${encodingText(camera.outputEncoding)})` : 'BT.709 signal'}. Dashed: as shot; broad: matched; thin line: target.${delivery ? ' Red dashes: the preferred range of EBU R 103.' : ''}`,
    waveform(
      delivery ? patches.map(({ index, result }) => ({ index, code: code(result) })) : patches,
      chart.columns,
      delivery,
      `${who}: waveform of the chart, as shot and matched`,
    ),
    undefined,
    'broad',
  )
}

function missFigure(patches: readonly PatchSignals[], who: string): Markup {
  const factor = missFactor(patches)
  const longer = factor === 1 ? 'to scale' : `drawn ${factor} times as long`
  return figure(
    'Direction of the error',
    `From each patch’s target (dot) a line towards where the match puts it, ${longer}. All leaning one way: a cast. Turning about the centre: hue. No order: no matrix removes it.`,
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
      'Circle R′, square G′, triangle B′ of each neutral patch. Open and dashed: as shot; filled: matched; on the diagonal nothing is off. BT.709 signal.',
      greyLevels(patches, size, `${who}: grey scale, levels as shot and matched over the target’s level`),
    ),
    figure(
      'Grey scale, deviation in percent',
      `The same minus the target. One channel apart from the others is a cast; all three together are exposure or curve.${twice ? ' Greys that the chart has twice should coincide; where they do not, the light is uneven.' : ''}`,
      greyDeviation(patches, size, `${who}: grey scale, deviation from the target as shot and matched`),
    ),
  ]
}

function residualFigure(patches: readonly PatchSignals[], report: ShowReport, who: string): Markup {
  return figure(
    'ΔE00 per patch, worst first',
    `Bar: matched. Tick: leave-one-out, the same patch under a match that has not seen it. ○ and figure at the right: as shot. Dashed: tolerance. ΔE00 ${viewWords[report.view]}.`,
    residualBars(patches, report.tolerance, `${who}: ΔE00 of every patch, worst first`),
    undefined,
    patches.length > 16 ? 'tall' : '',
  )
}

function frameFigures(
  { pictures, isTarget }: CameraReport,
  who: string,
  id: string,
  shared: SharedPictures,
): { readonly split: Markup | false; readonly sampling: Markup | false } {
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
  return {
    split:
      !isTarget &&
      before !== undefined &&
      after !== undefined &&
      figure(
        'Split frame',
        target === undefined
          ? 'As shot and matched, each in its own part of the frame.'
          : 'As shot, matched, and the reference camera’s own frame.',
        splitFrame(bands, { id, shared }, `${who}: split frame: ${bands.map(({ name }) => name).join(', ')}`),
      ),
    sampling:
      sampling !== undefined &&
      figure(
        'Sampled areas',
        'Where the readings come from. Check that each area lies on its patch.',
        markup`<img src="${sampling.uri}" width="${sampling.width}" height="${sampling.height}" alt="${who}: frame with the sampled areas">`,
      ),
  }
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
    'Evenness of the light across the chart',
    `${stops} ± ${error} stop from darkest to brightest, ${evenness.divided ? 'flat-fielded' : 'not corrected'}. Filled circle: brighter than the mean; open: darker; in stops. Aim for a tenth of a stop.`,
    evennessMap(field, report.chart, `${who}: light across the chart in stops`),
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
  const { split, sampling } = frameFigures(camera, who, id, shared)
  return markup`<div class="figures">${split}${patchFields(patches, report, who)}${waveformFigure(camera, data, report, who)}${scopeFigure(data, reach, who)}${
    !camera.isTarget && [
      missFigure(patches, who),
      residualFigure(patches, report, who),
      greyFigures(patches, who),
      evennessFigure(camera, report, who),
    ]
  }${sampling}</div>${patchNumbers(patches, camera, report)}`
}
