import type { Summary } from '@isochip/core'
import { changeCells, changeHeads } from '../changeWords.ts'
import { deltaEText } from '../digits.ts'
import { matrixConvention } from '../lineup/instructions.ts'
import { nothingToSet, onSetLines, settingDoubt } from '../onSetWords.ts'
import { setupChanges } from '../setupChanges.ts'
import { type CameraReport, type FittedCamera, isFitted, type ShowReport } from '../showReport.ts'
import { showState, showVerdict, verdict } from '../verdict.ts'
import {
  cautionText,
  cdlSentence,
  fitSentence,
  furtherCautions,
  limitSentence,
  showSentence,
  stateWords,
  targetText,
  toleranceWords,
  viewWords,
} from '../words.ts'
import { fit, printable, wrap } from './layout.ts'

export interface TableOptions {
  /** Columns of the terminal, at least 60. Default 80. */
  readonly width?: number
  /** With ANSI colours. Default false. Whatever colour says, a word says too. */
  readonly colour?: boolean
  /** Also every patch. Default false. */
  readonly patches?: boolean
}

type Paint = (text: string) => string

const codes = { bold: [1, 22], faint: [2, 22], good: [32, 39], doubt: [33, 39], bad: [31, 39] } as const

function paints(colour: boolean): Record<keyof typeof codes, Paint> {
  const paint =
    ([on, off]: readonly [number, number]): Paint =>
    (text) =>
      colour ? `\u001b[${on}m${text}\u001b[${off}m` : text
  return {
    bold: paint(codes.bold),
    faint: paint(codes.faint),
    good: paint(codes.good),
    doubt: paint(codes.doubt),
    bad: paint(codes.bad),
  }
}

/** What is worth setting at the camera, one line each under a common heading. */
function onSetRows(camera: FittedCamera, width: number): string[] {
  const worth = onSetLines(camera)
  if (worth.length === 0) return wrap(`on set: ${nothingToSet(camera)}`, width, '  ')
  const doubt = settingDoubt(camera.match)
  const first = doubt === undefined ? [] : wrap(`on set: ${doubt}`, width, '  ')
  const rows = worth.flatMap(({ what, say }, i) => {
    const head = `  ${i === 0 && doubt === undefined ? 'on set: ' : '        '}${fit(what, 21)}`
    // Broken after a comma or semicolon, never between a term and its figure.
    const held = say.replaceAll(/(?<![,;]) /g, '\u00a0')
    const rows = wrap(held, width, ' '.repeat(head.length)).map((text) => text.replaceAll('\u00a0', ' '))
    const [first, ...more] = rows
    return [head + first!.trimStart(), ...more]
  })
  const convention = worth.some(({ what }) => what === 'matrix')
    ? wrap(`matrix: ${matrixConvention}`, width, ' '.repeat(10))
    : []
  return [...first, ...rows, ...convention]
}

/** What stands out between the setups of a camera; a line where nothing does, none where there is one setup only. */
function changeRows(report: ShowReport, width: number, paint: Record<keyof typeof codes, Paint>): string[] {
  const changes = setupChanges(report)
  if (changes.length === 0) return []
  const notable = changes.filter((change) => change.notable.length > 0)
  const aside = width >= 78
  const row = (first: string, cells: readonly string[]) => {
    const figures = cells.map((cell, i) => (i === 4 ? `  ${cell}` : fit(cell, 10, 'right'))).join('')
    return (aside ? `  ${fit(first, Math.min(26, width - 57))}` : '   ') + figures
  }
  if (notable.length === 0)
    return ['', ...wrap('From setup to setup no camera has changed relative to the target.', width, '')]
  return [
    '',
    paint.bold('── from setup to setup ──'),
    paint.faint(
      row(
        '',
        changeHeads.map((head) => `${head}  `),
      ).trimEnd(),
    ),
    ...notable.flatMap((change) => {
      const name = printable(`${change.camera}, ${change.from} → ${change.to}`)
      const cells = changeCells(change).map(
        ({ part, text }) => `${text}${change.notable.includes(part) ? ' !' : '  '}`,
      )
      return [...(aside ? [] : [`  ${fit(name, width - 2)}`]), row(name, cells)].map((line) => line.trimEnd())
    }),
    ...wrap('! worth a look: a filter, a camera setting, or the light?', width, '  '),
  ]
}

/**
 * Mean, 95th percentile and worst ΔE00 of every camera and setup at each stage, the limiting factor and what to set
 * at the camera, as lines of at most `width` columns for a terminal.
 */
export function residualTable(report: ShowReport, options: TableOptions = {}): string {
  const width = Math.max(60, options.width ?? 80)
  const paint = paints(options.colour ?? false)
  const first = Math.min(24, Math.floor(width / 4))
  const row = (name: string, cells: readonly string[], worst: string) => {
    const head = `  ${fit(name, first)}${cells.map((cell) => fit(cell, 9, 'right')).join('')}  `
    return head + fit(worst, width - head.length).trimEnd()
  }
  const figures = (name: string, { mean, p95, max, worst }: Summary) =>
    row(name, [deltaEText(mean), deltaEText(p95), deltaEText(max)], printable(worst))

  const tones = { reference: paint.faint, within: paint.good, doubtful: paint.doubt, out: paint.bad }

  const camera = (one: CameraReport): string[] => {
    const judged = verdict(one, report.tolerance)
    const { state, doubts } = judged
    const tone = tones[state]
    const name = fit(printable(one.camera), width - 24).trimEnd()
    const lines = [`${paint.bold(name)}  ${tone(stateWords[state])}`]
    if (!isFitted(one)) return lines
    const { summary, patches } = one.match
    lines.push(
      paint.faint(figures('as shot', summary.before)),
      paint.faint(figures('balanced', summary.balanced)),
      figures('matched', summary.after),
    )
    if (summary.leaveOneOut !== undefined) {
      lines.push(paint.faint(figures('leave-one-out', summary.leaveOneOut)))
    }
    const { expected } = one.match.diagnosis
    if (expected !== undefined)
      lines.push(
        row('other materials', [deltaEText(expected.mean), deltaEText(expected.p95), ''], 'expected'),
      )
    const fitted = fitSentence(one.match)
    lines.push(
      ...(fitted === undefined ? [] : wrap(`fit: ${fitted}`, width, '  ')),
      ...wrap(`main residual: ${limitSentence(one, report.tolerance)}`, width, '  '),
      ...(one.lut?.cdl === undefined ? [] : wrap(`CDL: ${cdlSentence(one.lut.cdl)}`, width, '  ')),
      ...onSetRows(one, width),
      ...doubts.flatMap(({ message }) => wrap(`doubt: ${printable(message)}`, width, '  ').map(paint.doubt)),
      ...furtherCautions(one, judged).flatMap((warning) =>
        wrap(`caution: ${printable(cautionText(warning))}`, width, '  '),
      ),
    )
    if (options.patches) {
      lines.push('', paint.faint(row('patch', ['as shot', 'balanced', 'matched'], '')))
      for (const p of patches) {
        const { before, balanced, after } = p.dE00
        const note = p.excluded === undefined ? '' : `excluded: ${printable(p.excluded)}`
        lines.push(row(printable(p.patch), [before, balanced, after].map(deltaEText), note))
      }
    }
    return lines
  }

  const judged = showVerdict(report)
  const lines = [
    ...wrap(printable(report.title), width, '').map(paint.bold),
    ...wrap(
      `ΔE00 ${viewWords[report.view]}, ${report.chart.patches.length} patches, ${'camera' in report.target ? `reference camera: ${printable(report.target.camera)}` : `target: ${printable(targetText(report.target))}`}`,
      width,
      '',
    ),
    ...wrap(`tolerance: ${toleranceWords(report.tolerance)}`, width, ''),
  ]
  for (const setup of report.setups) {
    const rule = `── ${fit(printable(setup.setup), width - 8).trimEnd()} ──`
    lines.push('', paint.bold(rule), paint.faint(row('', ['mean', '95 %', 'worst'], 'worst patch')))
    lines.push(...setup.cameras.flatMap(camera))
  }
  lines.push(...changeRows(report, width, paint))
  const sentence = showSentence(judged)
  lines.push('', ...wrap(sentence, width, '').map(tones[showState(judged)]))
  return `${lines.join('\n')}\n`
}
