import { deltaEText, shareText } from '../digits.ts'
import { change } from '../plots/change.ts'
import type { CameraReport, SetupReport, ShowReport, Tolerance } from '../showReport.ts'
import { type Verdict, verdict } from '../verdict.ts'
import { furtherCautions, limitWords, onSetLines, stateWords } from '../words.ts'
import { type Markup, markup } from './markup.ts'
import type { PageLinks } from './pageLinks.ts'

/** A sign for each state that differs in shape, not only in colour. */
const signs: Record<Verdict['state'], Markup> = {
  target: markup`<svg width="15" height="15" aria-hidden="true"><path d="M7.5 1v13M1 7.5h13"/></svg>`,
  within: markup`<svg width="15" height="15" aria-hidden="true"><path d="M2 8l4 4 7-9"/></svg>`,
  doubtful: markup`<svg width="15" height="15" aria-hidden="true"><path d="M7.5 1l6.5 6.5-6.5 6.5-6.5-6.5z"/></svg>`,
  out: markup`<svg width="15" height="15" aria-hidden="true"><path d="M7.5 2l6 11h-12z"/></svg>`,
}

/** The class that gives a state its colour; `out` alone is the name of something else on the page. */
export const stateClass: Record<Verdict['state'], string> = {
  target: 'target',
  within: 'within',
  doubtful: 'doubtful',
  out: 'outside',
}

export function stateMark(state: Verdict['state']): Markup {
  return markup`<span class="state ${stateClass[state]}">${signs[state]}${stateWords[state]}</span>`
}

function cautionsLink(camera: CameraReport, judged: Verdict, href: string): Markup | undefined {
  const count = furtherCautions(camera, judged).length
  if (count === 0) return undefined
  return markup`<br><a href="${href}">${count} ${count === 1 ? 'caution' : 'cautions'}</a>`
}

function limitCell(camera: CameraReport, tolerance: Tolerance): Markup | string {
  const { limit } = verdict(camera, tolerance)
  const { budget } = camera.match.diagnosis
  if (limit === undefined || budget === undefined) return 'not told apart'
  return markup`${limitWords[limit].name}&nbsp;<small>${shareText(budget[limit])}</small>`
}

/** What to do at the camera, short: the matrix terms stand with the camera's pictures. */
function onSetCell(camera: CameraReport, href: string): Markup {
  const worth = onSetLines(camera.match.onSet).filter((line) => !line.idle && line.what !== 'primaries')
  if (worth.length === 0) return markup`<i>on set</i> nothing worth setting`
  const say = ({ what, brief }: (typeof worth)[number]) =>
    what === 'matrix' ? markup`<a href="${href}">${brief}</a>` : markup`${brief}`
  return markup`<ul><li><i>on set</i></li> ${worth.map((line) => markup`<li><i>${line.what}</i> ${say(line)}</li> `)}</ul>`
}

interface RowLinks {
  readonly camera: string
  readonly cautions: string
}

function row(camera: CameraReport, report: ShowReport, link: RowLinks, most: number, place: number): Markup {
  const judged = verdict(camera, report.tolerance)
  const { state } = judged
  const head = (rows: number) =>
    markup`<th scope="row" role="rowheader" rowspan="${rows}"><a href="${link.camera}"><bdi>${camera.camera}</bdi></a></th><td role="cell">${stateMark(state)}${cautionsLink(camera, judged, link.cautions)}</td>`
  if (state === 'target') {
    return markup`<tr role="row" class="only c${place}">${head(1)}<td role="cell" colspan="6"><small>the others go to it</small></td></tr>`
  }
  const { before, after } = camera.match.summary
  const pair = (name: string, key: 'mean' | 'p95' | 'max') =>
    markup`<td role="cell" class="n" data-h="${name}"><small>${deltaEText(before[key])} →</small> ${deltaEText(after[key])}</td>`
  const label = `${camera.camera}: mean ΔE00 ${deltaEText(before.mean)} as shot, ${deltaEText(after.mean)} matched; worst ${deltaEText(before.max)} as shot, ${deltaEText(after.max)} matched`
  return markup`<tr role="row" class="head-row c${place}">${head(2)}${pair('mean', 'mean')}${pair('95 %', 'p95')}${pair('worst', 'max')}<td role="cell">${change(before, after, report.tolerance, most, label)}</td><td role="cell" data-h="worst patch">${after.worst}</td><td role="cell" data-h="limit">${limitCell(camera, report.tolerance)}</td></tr><tr role="row" class="set-row c${place}"><td role="cell" colspan="${heads.length - 1}">${onSetCell(camera, link.camera)}</td></tr>`
}

const heads = ['camera', 'verdict', 'mean', '95 %', 'worst', 'mean / worst', 'worst patch', 'limit']

/** All setups, one line a camera. `place` gives each camera of the show its number. */
export function verdictTable(
  report: ShowReport,
  place: ReadonlyMap<string, number>,
  links: PageLinks,
): Markup {
  const most = Math.max(
    report.tolerance.max,
    ...report.setups.flatMap((setup) =>
      setup.cameras.flatMap(({ match: { summary } }) => [summary.before.max, summary.after.max]),
    ),
  )
  const group = (setup: SetupReport, index: number) =>
    markup`<tbody role="rowgroup"><tr role="row" class="setup"><th scope="rowgroup" role="rowheader" colspan="${heads.length}"><a href="${links.setup(index)}"><bdi>${setup.setup}</bdi></a></th></tr>${setup.cameras.map(
      (camera, i) => {
        const link = { camera: links.camera(index, i), cautions: links.cautions(index, i) }
        return row(camera, report, link, most, place.get(camera.camera)!)
      },
    )}</tbody>`
  return markup`<table class="verdict" role="table"><thead role="rowgroup"><tr role="row">${heads.map(
    (head) => markup`<th scope="col" role="columnheader">${head}</th>`,
  )}</tr></thead>${report.setups.map(group)}</table>`
}
