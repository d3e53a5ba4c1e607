import { scopeReach } from '../plots/camera/vectorscope.ts'
import type { ShowReport } from '../showReport.ts'
import { showState, showVerdict } from '../verdict.ts'
import { cautions, nextSentence, showSentence, targetText, toleranceWords, viewWords } from '../words.ts'
import { cameraScope } from './cameraFigures.ts'
import { changesSection } from './changesSection.ts'
import { definitions } from './definitions.ts'
import { lineUpSection } from './lineUpSection.ts'
import { Markup, markup } from './markup.ts'
import { pageLinks } from './pageLinks.ts'
import { script, scriptHash } from './script.ts'
import { setupSection } from './setupSection.ts'
import { sharedPictures } from './sharedPictures.ts'
import { style } from './style.ts'
import { unquoted } from './unquoted.ts'
import { stateClass, verdictTable } from './verdictSection.ts'

/** Only what stands in the page itself may run or load. */
const policy = `default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src '${scriptHash}'; base-uri 'none'; form-action 'none'`

export interface PageOptions {
  /**
   * Where the page of each setup lies, as a link from this one. This page then is about the show as a whole: its
   * verdict, which leads there.
   */
  readonly setupPage?: (setup: string) => string
  /** Where the page of the whole show lies, for a page about a part of it. */
  readonly wholePage?: string
}

/** Which cameras are shown; works without scripts. */
function cameraSwitches(cameras: readonly string[]): Markup {
  return markup`<fieldset><legend>cameras</legend>${cameras.map(
    (camera, i) => markup`<label><input type="checkbox" id="c${i}" checked><bdi>${camera}</bdi></label>`,
  )}</fieldset>`
}

/** Switches of the page; the style acts on them, so they work without scripts. */
function switches(report: ShowReport, cameras: readonly string[]): Markup {
  const stage = (value: string, text: string, checked: boolean) =>
    markup`<label><input type="radio" name="stage" id="stage-${value}"${checked && markup` checked`}>${text}</label>`
  return markup`<div class="tools"><div class="tools-inner"><fieldset><legend>show</legend>${stage('both', 'both', true)}${stage('as', 'as shot', false)}${stage('mt', 'matched', false)}</fieldset>${cameraSwitches(cameras)}<label class="pick">patch <select id="patch" autocomplete="off"><option value="">all</option>${report.chart.patches.map(
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

/** What the figures are, beside the verdict. */
function facts({ tolerance, view, chart, target }: ShowReport): [string, string][] {
  return [
    'camera' in target ? ['reference camera', target.camera] : ['target', targetText(target)],
    ['tolerance', `ΔE00 ${toleranceWords(tolerance)}`],
    ['figures', `ΔE00 ${viewWords[view]}, ${chart.patches.length} patches, as shot → matched`],
    ['ΔE00', 'how far two colours differ to the eye; 1 is just visible side by side'],
  ]
}

function provenance(report: ShowReport): Markup {
  const { chart, inputs, version } = report
  const dates = [
    chart.measured === undefined ? '' : `, measured ${chart.measured}`,
    chart.replaceBy === undefined ? '' : `, to be replaced by ${chart.replaceBy}`,
  ].join('')
  return markup`<p class="facts">isochip ${version}. Chart: ${chart.title}${dates}.</p>${
    inputs.length > 0 &&
    markup`<details><summary>Input files</summary><div class="wide" tabindex="0" role="region" aria-label="Input files"><table class="numbers"><thead><tr><th scope="col">file<th scope="col">SHA-256<tbody>${inputs.map(
      ({ path, sha256 }) => markup`<tr><th scope="row">${path}<td><code>${sha256}</code>`,
    )}</table></div></details>`
  }`
}

/**
 * One self-contained page about a show: verdict first, then every camera in pictures with the numbers behind them.
 * It loads nothing, needs no script to be read, follows the reader's light or dark setting and prints on A4. Same
 * input, same bytes.
 *
 * @param options for a show of which one page would be too much
 */
export function reportHtml(report: ShowReport, options: PageOptions = {}): string {
  const { setupPage, wholePage } = options
  const all = report.setups.flatMap((setup) => setup.cameras)
  const cameras = [...new Set(all.map(({ camera }) => camera))]
  const place = new Map(cameras.map((camera, i) => [camera, i]))
  const shown = setupPage === undefined ? report.setups : []
  const pictures = sharedPictures({ ...report, setups: shown })
  const judged = showVerdict(report)
  const reach = scopeReach(all.map((camera) => cameraScope(camera, report)))
  const body = markup`<a class="skip" href="#verdict">To the verdict</a>${shown.length > 0 && definitions(reach, pictures.definitions)}
<header>${wholePage !== undefined && markup`<p class="facts"><a href="${wholePage}">The whole show</a></p>`}<div class="halves"><div><h1><bdi>${report.title}</bdi></h1><p class="sum ${stateClass[showState(judged)]}">${showSentence(judged)}</p><p class="next">${nextSentence(judged)}</p></div><dl class="set facts">${facts(report).map(([what, say]) => markup`<dt>${what}</dt><dd>${say}</dd>`)}</dl></div>${failures(report)}</header>
${shown.length > 0 ? switches(report, cameras) : markup`<div class="tools"><div class="tools-inner">${cameraSwitches(cameras)}</div></div>`}
<main id="verdict">${verdictTable(report, place, pageLinks(report, setupPage))}
<p class="facts">In the small plots: mean above, worst below; ○ as shot, ● matched, red tick: tolerance. Other materials: the mean ΔE00 to expect on materials that are not on the chart.${setupPage !== undefined && ' Plots and figures of each setup are on its own page: follow its name.'}</p>
${changesSection(report, place)}${lineUpSection(report, place)}${shown.map((setup, i) => setupSection(setup, i, report, { place, reach, shared: pictures.shared }))}</main>
<footer>${cautions.map((caution) => markup`<p>${caution}</p>`)}${provenance(report)}</footer>`
  return markup`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><meta http-equiv="Content-Security-Policy" content="${policy}"><title>${report.title}</title><style>${new Markup(style)}${new Markup(cameraRules(cameras))}</style></head><body>
${unquoted(body)}
<script>${new Markup(script)}</script></body></html>
`.text
}
