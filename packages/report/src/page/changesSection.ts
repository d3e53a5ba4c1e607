import { changeCaption, changeCells, changeHeads } from '../changeWords.ts'
import { setupChanges } from '../setupChanges.ts'
import type { ShowReport } from '../showReport.ts'
import { type Markup, markup } from './markup.ts'

/** What changes between the setups of each camera; nothing where there is one setup only. */
export function changesSection(report: ShowReport, place: ReadonlyMap<string, number>): Markup | undefined {
  const changes = setupChanges(report)
  if (changes.length === 0) return undefined
  const row = (change: (typeof changes)[number]) => {
    const cells = changeCells(change).map(({ part, text }) =>
      change.notable.includes(part) ? markup`<td><b class="outside">${text} !</b>` : markup`<td>${text}`,
    )
    return markup`<tr class="c${place.get(change.camera)!}"><th scope="row"><bdi>${change.camera}</bdi>, <bdi>${change.from}</bdi> → <bdi>${change.to}</bdi>${cells}`
  }
  return markup`<section class="changes"><h3>From setup to setup</h3><p class="facts">${changeCaption}</p><div class="wide" tabindex="0" role="region" aria-label="From setup to setup"><table class="numbers"><thead><tr><th scope="col">camera${changeHeads.map((head) => markup`<th scope="col">${head}`)}<tbody>${changes.map(row)}</table></div></section>`
}
