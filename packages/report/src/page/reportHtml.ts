import { deltaEText } from '../digits.ts'
import type { ShowReport } from '../showReport.ts'
import { showVerdict, verdict } from '../verdict.ts'
import { cautions, limitSentence, onSetSentence, showSentence, stateWords } from '../words.ts'
import { markup } from './markup.ts'

/** One self-contained page about a show: no network, no font, readable without scripts. */
export function reportHtml(report: ShowReport): string {
  const row = (camera: ShowReport['setups'][number]['cameras'][number]) => {
    const { before, after } = camera.match.summary
    return markup`<tr><th scope="row">${camera.camera}</th><td>${stateWords[verdict(camera, report.tolerance).state]}</td>
<td>${deltaEText(before.mean)} → ${deltaEText(after.mean)}</td><td>${deltaEText(before.max)} → ${deltaEText(after.max)}</td>
<td>${after.worst}</td><td>${limitSentence(camera, report.tolerance)}</td><td>${onSetSentence(camera.match.onSet)}</td></tr>`
  }
  return markup`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>${report.title}</title></head><body>
<h1>${report.title}</h1><p>${showSentence(showVerdict(report))}</p>
${report.setups.map(
  (setup) => markup`<h2>${setup.setup}</h2><table><thead><tr><th>camera</th><th>verdict</th><th>mean ΔE00</th>
<th>worst ΔE00</th><th>worst patch</th><th>limit</th><th>on set</th></tr></thead><tbody>${setup.cameras.map(row)}</tbody></table>`,
)}
${cautions.map((caution) => markup`<p>${caution}</p>`)}</body></html>
`.text
}
