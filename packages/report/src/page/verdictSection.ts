import { deltaEText, shareText } from '../digits.ts'
import { nothingToSet, onSetLines, settingDoubt } from '../onSetWords.ts'
import { change } from '../plots/show/change.ts'
import {
  type CameraReport,
  type FittedCamera,
  isFitted,
  type SetupReport,
  type ShowReport,
} from '../showReport.ts'
import { checkLevels, isDelivery } from '../signal/levels.ts'
import { type Verdict, verdict } from '../verdict.ts'
import { furtherCautions, levelsText, limitWords, nextStep, stateWords } from '../words.ts'
import { type Markup, markup } from './markup.ts'
import type { PageLinks } from './pageLinks.ts'

/** A sign for each state that differs in shape, not only in colour. */
const signs: Record<Verdict['state'], Markup> = {
  reference: markup`<svg width="15" height="15" aria-hidden="true"><path d="M7.5 1v13M1 7.5h13"/></svg>`,
  within: markup`<svg width="15" height="15" aria-hidden="true"><path d="M2 8l4 4 7-9"/></svg>`,
  doubtful: markup`<svg width="15" height="15" aria-hidden="true"><path d="M7.5 1l6.5 6.5-6.5 6.5-6.5-6.5z"/></svg>`,
  out: markup`<svg width="15" height="15" aria-hidden="true"><path d="M7.5 2l6 11h-12z"/></svg>`,
}

/** The class that gives a state its colour; `out` alone is the name of something else on the page. */
export const stateClass: Record<Verdict['state'], string> = {
  reference: 'target',
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
  return markup`; <a href="${href}">${count} ${count === 1 ? 'caution' : 'cautions'}</a>`
}

function residualCell(camera: FittedCamera, { limit }: Verdict): Markup | string {
  const { budget } = camera.match.diagnosis
  if (limit === undefined || budget === undefined) return 'cause undetermined'
  return markup`${limitWords[limit].short}&nbsp;<small>${shareText(budget[limit])}</small>`
}

function levelsCell(camera: CameraReport, report: ShowReport): Markup {
  if (!isDelivery(camera.outputEncoding)) return markup`<small>not a delivery signal</small>`
  const check = checkLevels(camera, report.working)
  return check.outside.length === 0
    ? markup`${levelsText(check)}`
    : markup`<b class="outside">${levelsText(check)}</b>`
}

/** What to do at the camera, short: all matrix terms stand with the camera's pictures. */
function onSetItems(camera: FittedCamera, href: string): Markup {
  const worth = onSetLines(camera)
  if (worth.length === 0) return markup`<li><i>on set</i> ${nothingToSet(camera)}</li>`
  const say = ({ what, brief }: (typeof worth)[number]) =>
    what === 'matrix' ? markup`<a href="${href}">${brief}</a>` : markup`${brief}`
  const doubt = settingDoubt(camera.match)
  return markup`<li><i>on set:</i>${doubt !== undefined && markup` ${doubt}`}</li> ${worth.map((line) => markup`<li><i>${line.what}</i> ${say(line)}</li> `)}`
}

interface RowLinks {
  readonly camera: string
  readonly cautions: string
}

function row(camera: FittedCamera, report: ShowReport, link: RowLinks, most: number, place: number): Markup {
  const judged = verdict(camera, report.tolerance)
  const { before, after } = camera.match.summary
  const { expected } = camera.match.diagnosis
  const pair = (name: string, key: 'mean' | 'max', more?: Markup) =>
    markup`<td role="cell" class="n" data-h="${name}"><small>${deltaEText(before[key])} →</small> ${deltaEText(after[key])}${more}</td>`
  const label = `${camera.camera}: mean ΔE00 ${deltaEText(before.mean)} as shot, ${deltaEText(after.mean)} matched; worst ${deltaEText(before.max)} as shot, ${deltaEText(after.max)} matched`
  const others = expected === undefined ? '–' : deltaEText(expected.mean)
  return markup`<tr role="row" class="head-row c${place}"><th scope="row" role="rowheader" rowspan="2"><a href="${link.camera}"><bdi>${camera.camera}</bdi></a></th><td role="cell">${stateMark(judged.state)}</td>${pair('mean', 'mean')}${pair('worst', 'max', markup` <small>${after.worst}</small>`)}<td role="cell">${change(before, after, report.tolerance, most, label)}</td><td role="cell" data-h="other materials">${others}</td><td role="cell" data-h="main residual">${residualCell(camera, judged)}</td><td role="cell" data-h="levels">${levelsCell(camera, report)}</td></tr><tr role="row" class="set-row c${place}"><td role="cell" colspan="${heads.length - 1}"><ul><li><i>next:</i> <b>${nextStep(judged)}</b>${cautionsLink(camera, judged, link.cautions)}</li> ${onSetItems(camera, link.camera)}</ul></td></tr>`
}

const heads = [
  'camera',
  'verdict',
  'mean ΔE00',
  'worst ΔE00',
  'mean / worst',
  'other materials',
  'main residual',
  'levels, EBU R 103',
]

/** All setups, each camera on two lines; the reference camera stands with the setup. `place` numbers the show's cameras. */
export function verdictTable(
  report: ShowReport,
  place: ReadonlyMap<string, number>,
  links: PageLinks,
): Markup {
  const most = Math.max(
    report.tolerance.max,
    ...report.setups.flatMap((setup) =>
      setup.cameras
        .filter(isFitted)
        .flatMap(({ match: { summary } }) => [summary.before.max, summary.after.max]),
    ),
  )
  const group = (setup: SetupReport, index: number) => {
    const link = (i: number) => ({ camera: links.camera(index, i), cautions: links.cautions(index, i) })
    const reference = setup.cameras.map((camera, i) => {
      if (isFitted(camera)) return undefined
      const judged = verdict(camera, report.tolerance)
      return markup`<span class="c${place.get(camera.camera)!}">${stateMark(judged.state)} <a href="${link(i).camera}"><bdi>${camera.camera}</bdi></a>${cautionsLink(camera, judged, link(i).cautions)}</span>`
    })
    return markup`<tbody role="rowgroup"><tr role="row" class="setup"><th scope="rowgroup" role="rowheader" colspan="${heads.length}"><a href="${links.setup(index)}"><bdi>${setup.setup}</bdi></a>${reference}</th></tr>${setup.cameras.map(
      (camera, i) => isFitted(camera) && row(camera, report, link(i), most, place.get(camera.camera)!),
    )}</tbody>`
  }
  return markup`<table class="verdict" role="table"><thead role="rowgroup"><tr role="row">${heads.map(
    (head) => markup`<th scope="col" role="columnheader">${head}</th>`,
  )}</tr></thead>${report.setups.map(group)}</table>`
}
