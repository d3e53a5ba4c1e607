import { deltaEText } from '../digits.ts'
import { scopeReach } from '../plots/vectorscope.ts'
import type { ShowReport } from '../showReport.ts'
import { showVerdict } from '../verdict.ts'
import { cautions, showSentence, targetWords, viewWords } from '../words.ts'
import { cameraScope } from './cameraFigures.ts'
import { changesSection } from './changesSection.ts'
import { definitions } from './definitions.ts'
import { Markup, markup } from './markup.ts'
import { script, scriptHash } from './script.ts'
import { setupSection } from './setupSection.ts'
import { sharedPictures } from './sharedPictures.ts'
import { style } from './style.ts'
import { unquoted } from './unquoted.ts'
import { verdictTable } from './verdictSection.ts'

/** Only what stands in the page itself may run or load. */
const policy = `default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src '${scriptHash}'; base-uri 'none'; form-action 'none'`

/** Switches of the page; the style acts on them, so they work without scripts. */
function switches(report: ShowReport, cameras: readonly string[]): Markup {
  const stage = (value: string, text: string, checked: boolean) =>
    markup`<label><input type="radio" name="stage" id="stage-${value}"${checked && markup` checked`}>${text}</label>`
  return markup`<div class="tools"><div class="tools-inner"><fieldset><legend>show</legend>${stage('both', 'both', true)}${stage('as', 'as shot', false)}${stage('mt', 'matched', false)}</fieldset><fieldset><legend>cameras</legend>${cameras.map(
    (camera, i) => markup`<label><input type="checkbox" id="c${i}" checked><bdi>${camera}</bdi></label>`,
  )}</fieldset><label class="pick">patch <select id="patch" autocomplete="off"><option value="">all</option>${report.chart.patches.map(
    ({ name }, i) => markup`<option value="${i}">${name}</option>`,
  )}</select></label></div></div>`
}

/** Rules that hide a camera whose box is not ticked. */
const cameraRules = (cameras: readonly string[]) =>
  cameras.map((_, i) => `:root:has(#c${i}:not(:checked)) .c${i}{display:none}`).join('\n')

function failures({ failed = [] }: ShowReport): Markup | undefined {
  if (failed.length === 0) return undefined
  return markup`<div class="warn">${failed.map(
    ({ camera, setup, message }) =>
      markup`<p>Could not be made: <bdi>${setup}</bdi>, <bdi>${camera}</bdi>: ${message}</p>`,
  )}</div>`
}

function provenance(report: ShowReport): Markup {
  const { chart, inputs, version } = report
  const dates = [
    chart.measured === undefined ? '' : `, measured ${chart.measured}`,
    chart.replaceBy === undefined ? '' : `, to be replaced by ${chart.replaceBy}`,
  ].join('')
  return markup`<p class="facts">isochip ${version}. Chart: ${chart.title}${dates}.</p>${
    inputs.length > 0 &&
    markup`<details><summary>Files that this rests on</summary><div class="wide" tabindex="0" role="region" aria-label="Files that this rests on"><table class="numbers"><thead><tr><th scope="col">file<th scope="col">SHA-256<tbody>${inputs.map(
      ({ path, sha256 }) => markup`<tr><th scope="row">${path}<td><code>${sha256}</code>`,
    )}</table></div></details>`
  }`
}

/**
 * One self-contained page about a show: verdict first, then every camera in pictures with the numbers behind them.
 * It loads nothing, needs no script to be read, follows the reader's light or dark setting and prints on A4. Same
 * input, same bytes.
 */
export function reportHtml(report: ShowReport): string {
  const all = report.setups.flatMap((setup) => setup.cameras)
  const cameras = [...new Set(all.map(({ camera }) => camera))]
  const place = new Map(cameras.map((camera, i) => [camera, i]))
  const { max } = report.tolerance
  const pictures = sharedPictures(report)
  const judged = showVerdict(report)
  const reach = scopeReach(all.map((camera) => cameraScope(camera, report)))
  const body = markup`<a class="skip" href="#verdict">To the verdict</a>${definitions(reach, pictures.definitions)}
<header><h1><bdi>${report.title}</bdi></h1><p class="sum ${judged.within && judged.failed === 0 ? 'within' : 'outside'}">${showSentence(judged)}</p><p class="facts">Tolerance: mean ${deltaEText(report.tolerance.mean)}, worst ${deltaEText(max)}. ΔE00 ${viewWords[report.view]}, as shot → matched, ${report.chart.patches.length} patches. Target: ${targetWords(report.target)}.</p>${failures(report)}</header>
${switches(report, cameras)}
<main id="verdict">${verdictTable(report, place)}
<p class="facts">In the little pictures: mean above, worst below; ring as shot, disc matched, upright stroke the tolerance.</p>
${changesSection(report, place)}${report.setups.map((setup, i) => setupSection(setup, i, report, { place, reach, shared: pictures.shared }))}</main>
<footer>${cautions.map((caution) => markup`<p>${caution}</p>`)}${provenance(report)}</footer>`
  return markup`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><meta http-equiv="Content-Security-Policy" content="${policy}"><title>${report.title}</title><style>${new Markup(style)}${new Markup(cameraRules(cameras))}</style></head><body>
${unquoted(body)}
<script>${new Markup(script)}</script></body></html>
`.text
}
