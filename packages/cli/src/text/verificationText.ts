import type { Range, Setting } from '@isochip/core'
import { instructions, matrixConvention } from '@isochip/report'
import type { Drift, Verification, VerifiedCamera } from '@isochip/show/node'
import { wrapped } from './wrapped.ts'

const number = (value: number) => value.toFixed(2)
const signed = (value: number, digits: number) => {
  const text = Math.abs(value).toFixed(digits)
  return `${value < 0 && Number(text) !== 0 ? '−' : '+'}${text}`
}

/** Two readings of one chart differ by their noise, which no change of levels and colour takes away. */
const isNoise = ({ whole, withoutColour }: Drift['dE00']) =>
  whole < 0.05 || (whole < 0.3 && whole - withoutColour < 0.1)

/** A verification as lines of at most 80 columns. */
export function verificationText({ title, view, tolerance, within, setups, failures }: Verification): string {
  const light = view === 'scene' ? 'scene light' : 'the light of a display'
  const lines = [title, `ΔE00 on ${light}, camera through its LUT against the target`]
  lines.push(`tolerance: mean ${number(tolerance.mean)}, worst ${number(tolerance.max)}`)
  for (const { setup, cameras } of setups) {
    lines.push('', `── ${setup} ──`, `${' '.repeat(22)}mean     95 %    worst  worst patch`)
    for (const camera of cameras) lines.push(...cameraLines(camera))
  }
  const all = setups.flatMap(({ cameras }) => cameras)
  const judged = all.filter(({ isTarget }) => !isTarget)
  const out = judged.filter((camera) => !camera.within).length
  const unsure = judged.filter(({ within, doubts }) => within && doubts.length > 0).length
  const doubtful = unsure === 0 ? '' : `, but ${unsure} ${unsure === 1 ? 'is' : 'are'} doubtful`
  const missing = failures.length === 0 ? '' : `; ${failures.length} could not be judged`
  lines.push('')
  lines.push(
    within
      ? `${missing === '' ? 'All ' : ''}${judged.length} LUT${judged.length === 1 ? '' : 's'} still hold${judged.length === 1 ? 's' : ''}${doubtful}${missing}.`
      : `${out} of ${judged.length} LUTs no longer hold${out === 1 ? 's' : ''}: match again${missing}.`,
  )
  const moved = all.find(({ isTarget, drift }) => isTarget && (drift?.dE00.whole ?? 0) > tolerance.mean)
  if (moved !== undefined)
    lines.push(`The reference camera, ${moved.camera}, has itself changed: find out why first.`)
  return `${lines.join('\n')}\n`
}

function cameraLines({
  camera,
  isTarget,
  borrowed,
  within,
  doubts,
  now,
  made,
  drift,
  leftOut,
}: VerifiedCamera): string[] {
  const verdict = isTarget
    ? 'reference camera'
    : !within
      ? 'no longer holds'
      : doubts.length > 0
        ? 'holds, but doubtful'
        : 'holds'
  const head = `${camera}  ${verdict}${borrowed === undefined ? '' : `, by the chart of ${borrowed}`}`
  const row = (name: string, figures: typeof now) =>
    figures === undefined
      ? []
      : [
          `  ${name.padEnd(15)}${[figures.mean, figures.p95, figures.max].map((v) => number(v).padStart(9)).join('')}  ${figures.worst}`.slice(
            0,
            80,
          ),
        ]
  return [
    head,
    ...row('now', now),
    ...row('when made', made),
    ...doubts.flatMap(({ message }) => wrapped(`doubt: ${message}`)),
    ...(leftOut.length === 0 ? [] : leftOutLines(leftOut)),
    ...(drift === undefined ? [] : driftLines(drift)),
  ]
}

/** Patches that do not count, by their reason. */
function leftOutLines(leftOut: VerifiedCamera['leftOut']): string[] {
  const names = leftOut.map(({ patch }) => patch).join(', ')
  const text = `  excluded       ${names}`
  return [text.length <= 80 ? text : `  excluded       ${leftOut.length} patches`]
}

type Row = [what: string, says: string, rest: string]

/**
 * What changed since, as light, each with what is left of the difference when it is taken out; and at the camera, in the words of a
 * line-up. Black and colour are the camera's alone: as light they are told only where nothing is known of its controls.
 */
function driftLines({ exposure, whiteBalance, black, dE00, setting, range }: Drift): string[] {
  const left = (value: number) => `leaves ${number(value)}`
  if (isNoise(dE00)) return ['  since then       no change at the camera']
  const { redOverGreen, blueOverGreen, mired, kelvin } = whiteBalance
  const back = setting === undefined ? [] : settingLines(setting, range)
  const ofTheCamera: Row[] = [
    [
      '  black',
      `${black.map((v, i) => `${'RGB'[i]} ${signed(v, 2)} %`).join(', ')} of white`,
      left(dE00.withoutBlack),
    ],
    ['  colour', 'crosstalk between channels', left(dE00.withoutColour)],
  ]
  const rows: Row[] = [
    ['since then', `mean ΔE00 ${number(dE00.whole)}; as light, without`, ''],
    ['  exposure', `${signed(exposure, 2)} stop`, left(dE00.withoutExposure)],
    [
      '  white balance',
      `red ${signed(100 * (redOverGreen - 1), 1)} %, blue ${signed(100 * (blueOverGreen - 1), 1)} %, ${signed(mired, 1)} mired`,
      left(dE00.withoutWhiteBalance),
    ],
    ['', `(light ${kelvin.map(({ was, now }) => `${was} → ${now.toFixed(0)} K`).join(', ')})`, ''],
    ...(back.length > 0 ? [] : ofTheCamera),
  ]
  return [
    ...rows.map(([what, says, rest]) => `  ${what.padEnd(17)}${says.padEnd(44)}${rest}`.trimEnd()),
    ...back,
  ]
}

/** What to set to get back, in the order and the words of a line-up. */
function settingLines({ turn, stages, now, controls }: Setting, range: Range): string[] {
  const steps = instructions(turn, stages, range, controls)
  if (steps.length === 0) return []
  return [
    `  to get back      set at the camera, in this order (it is ΔE00 ${number(now)} off)`,
    ...steps.flatMap(({ control, lines, outcome }) =>
      lines.map((line, i) =>
        `    ${(i === 0 ? control : '').padEnd(20)}${line.padEnd(43)}${i > 0 ? '' : outcome === undefined ? 'with the next' : `→ ${number(outcome.expected)}`}`.trimEnd(),
      ),
    ),
    ...(steps.some(({ group }) => group === 'matrix') ? [`    ${matrixConvention}`] : []),
  ]
}
