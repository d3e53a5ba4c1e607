import { deltaEText } from '../digits.ts'
import { onSetSentence } from '../onSetWords.ts'
import { type CameraReport, type FittedCamera, isFitted, type ShowReport } from '../showReport.ts'
import { showVerdict, verdict } from '../verdict.ts'
import {
  cautions,
  cautionText,
  cdlSentence,
  fitSentence,
  furtherCautions,
  limitSentence,
  nextStep,
  showSentence,
  stateWords,
  targetText,
  toleranceWords,
  viewWords,
} from '../words.ts'
import { printable } from './layout.ts'

/** A name as text: nothing in it marks up, links, mentions or ends a table cell. */
function plain(name: string): string {
  return (
    printable(name)
      .replace(/[\\`*_{}[\]()#+!|~$^-]/g, '\\$&')
      .replaceAll('&', '&amp;')
      .replaceAll('<', '&lt;')
      .replaceAll('>', '&gt;')
      .replaceAll('@', '&#64;')
      // Before a space it begins neither an address nor a picture word.
      .replace(/:(?=\S)/g, '&#58;')
  )
}

/** The verdict as Markdown (CommonMark with tables), for a ticket or a mail. */
export function markdown(report: ShowReport): string {
  const row = (camera: CameraReport): string => {
    const name = plain(camera.camera)
    if (!isFitted(camera)) return `| ${name} | ${stateWords.reference} | | | | |`
    const { before, after } = camera.match.summary
    const { state } = verdict(camera, report.tolerance)
    const change = (key: 'mean' | 'p95' | 'max') => `${deltaEText(before[key])} → ${deltaEText(after[key])}`
    const word = state === 'out' || state === 'doubtful' ? `**${stateWords[state]}**` : stateWords[state]
    return `| ${name} | ${word} | ${change('mean')} | ${change('p95')} | ${change('max')} | ${plain(after.worst)} |`
  }
  const fitted = (camera: FittedCamera): string => {
    const sentence = fitSentence(camera.match)
    return sentence === undefined ? '' : ` Fit: ${sentence}.`
  }
  const notes = (camera: CameraReport): string[] => {
    if (!isFitted(camera)) return []
    const judged = verdict(camera, report.tolerance)
    return [
      `- ${plain(camera.camera)}: next: ${plain(nextStep(judged) ?? '')}. Main residual: ${limitSentence(camera, report.tolerance)}. On set: ${onSetSentence(camera)}.${fitted(camera)}`,
      ...(camera.lut?.cdl === undefined ? [] : [`  - CDL: ${cdlSentence(camera.lut.cdl)}`]),
      ...judged.doubts.map(({ message }) => `  - doubt: ${plain(message)}`),
      ...furtherCautions(camera, judged).map((warning) => `  - caution: ${plain(cautionText(warning))}`),
    ]
  }
  const lines = [
    `# ${plain(report.title)}`,
    '',
    `**${showSentence(showVerdict(report))}** Tolerance: ${toleranceWords(report.tolerance)}, ΔE00 ${viewWords[report.view]}, as shot → matched. Target: ${plain(targetText(report.target))}.`,
  ]
  const failed = (report.failed ?? []).map(
    ({ camera, setup, message }) => `- could not be made: ${plain(`${setup}, ${camera}: ${message}`)}`,
  )
  if (failed.length > 0) lines.push('', ...failed)
  for (const setup of report.setups) {
    lines.push(
      '',
      `## ${plain(setup.setup)}`,
      '',
      '| camera | verdict | mean | 95 % | worst | worst patch |',
      '| --- | --- | --- | --- | --- | --- |',
      ...setup.cameras.map(row),
      '',
      ...setup.cameras.flatMap(notes),
    )
  }
  lines.push('', ...cautions.map((caution) => `> ${caution}  `), '', `isochip ${plain(report.version)}`)
  return `${lines.join('\n')}\n`
}
