import { bars75, type Chart, type FittedMatch, type Vec3 } from '@isochip/core'
import {
  chromaText,
  deltaEText,
  percentText,
  signedPercentText,
  stopsSizeText,
  stopsText,
  weightText,
} from '../digits.ts'
import { patchLights } from '../patchLights.ts'
import { chartCells } from '../plots/camera/chartCells.ts'
import { evennessMap } from '../plots/camera/evennessMap.ts'
import { fields } from '../plots/camera/fields.ts'
import { greyDeviation, greyLevels, greySteps, stepLevel } from '../plots/camera/greyScale.ts'
import { misses, missFactor } from '../plots/camera/misses.ts'
import { residualBars } from '../plots/camera/residualBars.ts'
import { type Band, isEmbedded, type SharedPictures, splitFrame } from '../plots/camera/splitFrame.ts'
import { leavesScope, type VectorscopeData, vectorscope } from '../plots/camera/vectorscope.ts'
import { waveform } from '../plots/camera/waveform.ts'
import {
  type CameraReport,
  type FittedCamera,
  isFitted,
  type Picture,
  type ShowReport,
} from '../showReport.ts'
import { cameraHexagon } from '../signal/cameraHexagon.ts'
import { isDelivery, outputSignals } from '../signal/levels.ts'
import { type FittedSignals, fittedSignals, type PatchSignals, patchSignals } from '../signal/patchSignals.ts'
import { boxHalf, skinDegrees } from '../signal/scopeGraticule.ts'
import { encodingText, viewWords } from '../words.ts'
import { type Markup, markup } from './markup.ts'
import { figure, type NumbersRow, numbers } from './numbers.ts'

const three = (code: Vec3, text: (value: number) => string) => code.map(text)
const deviation = (code: PatchSignals['code'], stage: 'source' | 'matched') =>
  [0, 1, 2].map((i) => signedPercentText(code[stage][i]! - code.target[i]!))

/** The numbers behind all pictures of the reference camera, patch by patch, in one table. */
function referenceNumbers(patches: readonly PatchSignals[]): Markup {
  const excludes = patches.some(({ excluded }) => excluded !== undefined)
  return numbers(
    'patches',
    'patch',
    ['R′ %', 'G′ %', 'B′ %', 'Cb', 'Cr', ...(excludes ? ['excluded because'] : [])],
    patches.map(({ index, name, excluded, code, ycbcr: { source } }) => ({
      patch: index,
      name,
      cells: [
        ...three(code.source, percentText),
        chromaText(source.cb),
        chromaText(source.cr),
        ...(excludes ? [excluded] : []),
      ],
    })),
  )
}

/** The numbers behind all pictures of a camera, patch by patch, in one table. */
function patchNumbers(
  patches: readonly FittedSignals[],
  { match }: FittedCamera,
  { chart, working }: ShowReport,
): Markup {
  const field = evennessField(match, chart)
  const excludes = patches.some(({ excluded }) => excluded !== undefined)
  const stages = [' as shot', ' matched', ' target']
  const roles = chart.patches.some(({ role }) => role !== undefined)
  const heads = [
    ...(roles ? ['role'] : []),
    ...stages.flatMap((stage) => ['R′', 'G′', 'B′'].map((channel) => `${channel}${stage} %`)),
    ...stages.flatMap((stage) => [`Cb${stage}`, `Cr${stage}`]),
    ...['ΔE00 as shot', 'balanced', 'matched', 'leave-one-out', 'weight'],
    ...(field === undefined ? [] : ['light, stops']),
    ...(excludes ? ['excluded because'] : []),
  ]
  const row = ({ index, name, role, code, ycbcr, excluded, result }: FittedSignals): NumbersRow => {
    const { dE00, leaveOneOut, weight } = result
    const signals = ['source', 'matched', 'target'] as const
    return {
      patch: index,
      name,
      cells: [
        ...(roles ? [role ?? ''] : []),
        ...signals.flatMap((stage) => three(code[stage], percentText)),
        ...signals.flatMap((stage) => [chromaText(ycbcr[stage].cb), chromaText(ycbcr[stage].cr)]),
        ...[dE00.before, dE00.balanced, dE00.after].map(deltaEText),
        leaveOneOut === undefined ? '' : deltaEText(leaveOneOut),
        weightText(weight),
        ...(field === undefined ? [] : [stopsText(field[index]!)]),
        ...(excludes ? [excluded] : []),
      ],
    }
  }
  const own = cameraHexagon(match, working)
  const steps = greySteps(patches)
  return markup`${numbers('patches', 'patch', heads, patches.map(row))}${
    steps.length > 1 &&
    numbers(
      'grey scale, deviation from the target in %',
      'step',
      heads.slice(roles ? 1 : 0, roles ? 7 : 6),
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

function patchFields(
  patches: readonly PatchSignals[],
  { chart, tolerance }: ShowReport,
  fitted: boolean,
  who: string,
): Markup {
  const stages = fitted ? 'as shot, matched and target' : 'as shot'
  return figure(
    'Patches',
    fitted
      ? 'Top left: as shot; top right: matched; bottom: target; all as sRGB. Figure: ΔE00 matched; ▲ above the worst of the tolerance.'
      : 'As shot, as sRGB: what the other cameras are matched to.',
    fields(patches, chartCells(chart), tolerance.max, `${who}: every patch ${stages}`),
    undefined,
    // Where patches stand in no rows, small ones lie far apart.
    chart.regions === undefined ? '' : 'broad',
  )
}

/** What the vectorscope of a camera shows. */
export function cameraScope({ match }: CameraReport, { chart, working }: ShowReport): VectorscopeData {
  const patches = patchSignals(patchLights(match), chart, working)
  return { patches, hexagon: match.kind === 'fitted' ? cameraHexagon(match, working) : undefined }
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
  patches: readonly PatchSignals[],
  { chart, working }: ShowReport,
  who: string,
): Markup {
  const lights = new Map(patchLights(camera.match).map((one) => [one.patch, one]))
  const delivery = isDelivery(camera.outputEncoding)
  const code = outputSignals(camera, working)
  return figure(
    'Waveform of the chart',
    `R′, G′ and B′ of each patch at its place across the chart, ${delivery ? `as the LUT puts it out (${encodingText(camera.outputEncoding)})` : 'BT.709 signal'}. Dashed: as shot; broad: matched; thin line: target.${delivery ? ' Red dashes: the preferred range of EBU R 103.' : ''}`,
    waveform(
      delivery ? patches.map(({ index, name }) => ({ index, code: code(lights.get(name)!) })) : patches,
      chartCells(chart),
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

function residualFigure(patches: readonly FittedSignals[], report: ShowReport, who: string): Markup {
  return figure(
    'ΔE00 per patch, worst first',
    `Bar: matched. Tick: leave-one-out, the same patch under a match that has not seen it. ○ and figure at the right: as shot. Dashed: tolerance. ΔE00 ${viewWords[report.view]}.`,
    residualBars(patches, report.tolerance, `${who}: ΔE00 of every patch, worst first`),
    undefined,
    patches.length > 16 ? 'tall' : '',
  )
}

function frameFigures(
  { pictures, match }: CameraReport,
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
      match.kind === 'fitted' &&
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
function evennessField({ diagnosis }: FittedMatch, chart: Chart): readonly number[] | undefined {
  const field = diagnosis.evenness?.field
  return field?.length === chart.patches.length ? field : undefined
}

function evennessFigure({ match }: FittedCamera, { chart }: ShowReport, who: string): Markup | undefined {
  const { evenness } = match.diagnosis
  const field = evennessField(match, chart)
  if (evenness === undefined || field === undefined) return undefined
  const stops = stopsSizeText(evenness.stops)
  const error = stopsSizeText(evenness.standardError)
  return figure(
    'Evenness of the light across the chart',
    `${stops} ± ${error} stop from darkest to brightest, ${evenness.divided ? 'flat-fielded' : 'not corrected'}. Filled circle: brighter than the mean; open: darker; in stops. Aim for a tenth of a stop.`,
    evennessMap(field, chartCells(chart), `${who}: light across the chart in stops`),
    undefined,
    chart.regions === undefined ? '' : 'broad',
  )
}

/** Every picture of one camera in one setup, and the numbers behind them. `id` is unique in the page. */
export function cameraFigures(
  camera: CameraReport,
  report: ShowReport,
  { id, reach, shared }: { readonly id: string; readonly reach: number; readonly shared: SharedPictures },
): Markup {
  const scope = cameraScope(camera, report)
  const who = `${camera.camera}, ${camera.setup}`
  const { split, sampling } = frameFigures(camera, who, id, shared)
  const common = (patches: readonly PatchSignals[]) =>
    markup`${patchFields(patches, report, isFitted(camera), who)}${waveformFigure(camera, patches, report, who)}${scopeFigure(scope, reach, who)}`
  if (!isFitted(camera)) {
    const { patches } = scope
    return markup`<div class="figures">${common(patches)}${sampling}</div>${referenceNumbers(patches)}`
  }
  const patches = fittedSignals(camera.match.patches, report.chart, report.working)
  return markup`<div class="figures">${split}${common(patches)}${missFigure(patches, who)}${residualFigure(patches, report, who)}${greyFigures(patches, who)}${evennessFigure(camera, report, who)}${sampling}</div>${patchNumbers(patches, camera, report)}`
}
