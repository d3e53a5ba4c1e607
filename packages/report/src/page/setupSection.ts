import { deltaEText, shareText } from '../digits.ts'
import { matrixConvention } from '../lineup/instructions.ts'
import { nothingToSet, onSetLines, primariesSentence, settingDoubt } from '../onSetWords.ts'
import { cameraPairs } from '../pairs.ts'
import type { SharedPictures } from '../plots/camera/splitFrame.ts'
import { budgetBars, budgetOrder } from '../plots/show/budgetBars.ts'
import { pairMatrix } from '../plots/show/pairMatrix.ts'
import {
  type CameraReport,
  type FittedCamera,
  isFitted,
  type SetupReport,
  type ShowReport,
} from '../showReport.ts'
import { checkLevels, isDelivery } from '../signal/levels.ts'
import { type Verdict, verdict } from '../verdict.ts'
import {
  cautionText,
  furtherCautions,
  levelsText,
  limitSentence,
  limitWords,
  nextStep,
  viewWords,
} from '../words.ts'
import { cameraFigures } from './cameraFigures.ts'
import { fitNumbers } from './fitNumbers.ts'
import { type Markup, markup } from './markup.ts'
import { figure, numbers } from './numbers.ts'
import { cameraAnchor, cautionsAnchor, setupAnchor } from './pageLinks.ts'
import { stateMark } from './verdictSection.ts'

function budgetFigure(setup: SetupReport): Markup | undefined {
  const rows = setup.cameras
    .filter(isFitted)
    .flatMap(({ camera, match: { summary, diagnosis } }) =>
      diagnosis.budget === undefined ? [] : [{ camera, mean: summary.after.mean, budget: diagnosis.budget }],
    )
  if (rows.length === 0) return undefined
  return figure(
    'Residual budget',
    'What remains after the match, as shares of its mean ΔE00. Metamerism: the sensors see different spectra; no matrix removes that part.',
    budgetBars(rows, 520, `${setup.setup}: residual budget of each camera`),
    numbers(
      'residual budget',
      'camera',
      [...budgetOrder.map((key) => limitWords[key].name), 'mean ΔE00'],
      rows.map(({ camera, mean, budget }) => ({
        name: camera,
        cells: [...budgetOrder.map((key) => shareText(budget[key])), deltaEText(mean)],
      })),
    ),
  )
}

function pairFigure(setup: SetupReport, report: ShowReport): Markup | undefined {
  const pairs = cameraPairs(setup, report)
  if (pairs.length === 0) return undefined
  return figure(
    'Camera against camera',
    `Mean ΔE00 between two cameras across the chart, ${viewWords[report.view]}. Above the diagonal matched, below it as shot. The deeper the tint, the further apart.`,
    pairMatrix(
      setup.cameras.map(({ camera }) => camera),
      pairs,
      `${setup.setup}: mean ΔE00 between every two cameras`,
    ),
    numbers(
      'pairs',
      'cameras',
      ['as shot', 'matched'],
      pairs.map(({ a, b, before, after }) => ({
        name: `${a} – ${b}`,
        cells: [deltaEText(before), deltaEText(after)],
      })),
    ),
  )
}

/** What the parts of a page have in common. */
export interface PageContext {
  /** Each camera of the show has its number. */
  readonly place: ReadonlyMap<string, number>
  /** Of the vectorscopes. */
  readonly reach: number
  readonly shared: SharedPictures
}

/** Breaks only after a comma or semicolon. */
const unbroken = (say: string): Markup[] =>
  say
    .split(/(?<=[,;]) /)
    .map((part) => markup`<span class="whole">${part.replaceAll(' %', '\u00a0%')}</span> `)

function levelsSentence(camera: CameraReport, report: ShowReport): string {
  if (!isDelivery(camera.outputEncoding)) return 'not a delivery signal: not checked'
  const check = checkLevels(camera, report.working)
  const where = check.outside.length === 0 ? '' : `: ${check.outside.join(', ')}`
  return `${levelsText(check)} (EBU R 103)${where}`
}

/** The controls in their order, what is expected after each, and which way the terms are meant. */
function onSetList(camera: FittedCamera): Markup {
  const lines = onSetLines(camera)
  const { match } = camera
  const doubt = settingDoubt(match)
  const list = lines.map(({ what, say }) => markup`<dt>${what}</dt><dd>${unbroken(say)}</dd>`)
  const convention =
    lines.some(({ what }) => what === 'matrix') && markup`<p class="facts">Matrix: ${matrixConvention}.</p>`
  return markup`${doubt !== undefined && markup`<p><b>${capital(doubt)}.</b></p>`}<dl class="set">${list.length === 0 ? markup`<dt>all</dt><dd>${nothingToSet(camera)}</dd>` : list}<dt>primaries</dt><dd>${unbroken(primariesSentence(match.onSet))}</dd></dl>${convention}`
}

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1)

/** What a match came to, and what to set at the camera instead. */
function matchWords(camera: FittedCamera, report: ShowReport, judged: Verdict): Markup {
  const { summary, diagnosis } = camera.match
  const { before, balanced, after } = summary
  const { expected } = diagnosis
  return markup`<div class="halves"><dl class="set">${judged.state !== 'doubtful' && markup`<dt>next</dt><dd><b>${nextStep(judged)}</b></dd>`}<dt>ΔE00 mean</dt><dd>${deltaEText(before.mean)} as shot, ${deltaEText(balanced.mean)} balanced, <b>${deltaEText(after.mean)} matched</b></dd><dt>worst</dt><dd>${deltaEText(before.max)} as shot, ${deltaEText(balanced.max)} balanced, <b>${deltaEText(after.max)} matched</b> (${after.worst})</dd>${expected !== undefined && markup`<dt>other materials</dt><dd>${deltaEText(expected.mean)} expected on materials that are not on the chart</dd>`}<dt>main residual</dt><dd>${limitSentence(camera, report.tolerance)}</dd><dt>levels</dt><dd>${levelsSentence(camera, report)}</dd></dl><div><h4>To set at the camera instead of the LUT</h4>${onSetList(camera)}</div></div>`
}

function cameraArticle(
  camera: CameraReport,
  report: ShowReport,
  anchor: string,
  { place, ...page }: PageContext,
): Markup {
  const judged = verdict(camera, report.tolerance)
  const { state, doubts } = judged
  const warnings = furtherCautions(camera, judged)
  return markup`<article class="camera c${place.get(camera.camera)!}" id="${anchor}"><div class="cap"><h3><bdi>${camera.camera}</bdi> <small class="facts"><bdi>${camera.setup}</bdi></small></h3>${stateMark(state)}</div>${
    doubts.length > 0 &&
    markup`<div class="warn doubts"><p><b>Check first:</b></p>${doubts.map(({ message }) => markup`<p>${message}</p>`)}</div>`
  }${isFitted(camera) && matchWords(camera, report, judged)}${
    warnings.length > 0 &&
    markup`<div class="warn" id="${cautionsAnchor(anchor)}">${warnings.map((warning) => markup`<p>${cautionText(warning)}</p>`)}</div>`
  }${cameraFigures(camera, report, { ...page, id: `${anchor}-split` })}${fitNumbers(camera, report)}</article>`
}

/** One setup: its cameras side by side, then each of them. */
export function setupSection(
  setup: SetupReport,
  index: number,
  report: ShowReport,
  page: PageContext,
): Markup {
  return markup`<section><h2 id="${setupAnchor(index)}"><bdi>${setup.setup}</bdi></h2><div class="figures">${budgetFigure(setup)}${pairFigure(setup, report)}</div>${setup.cameras.map(
    (camera, i) => cameraArticle(camera, report, cameraAnchor(index, i), page),
  )}</section>`
}
