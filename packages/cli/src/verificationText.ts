import type { Drift, Verification, VerifiedCamera } from '@isochip/show/node'

type Found = Omit<Verification, 'failures'>

const number = (value: number, digits = 2) => value.toFixed(digits)
const signed = (value: number, digits: number) => {
  const text = Math.abs(value).toFixed(digits)
  return `${value < 0 && Number(text) !== 0 ? '−' : '+'}${text}`
}

/** ΔE00 below which two readings of one chart differ by their noise only. */
const unchanged = 0.05

/** A verification as lines of at most 80 columns. */
export function verificationText({ title, tolerance, within, setups }: Found): string {
  const lines = [title, 'ΔE00 on scene light, camera through its LUT against the target, now']
  lines.push(`tolerance: mean ${number(tolerance.mean)}, worst ${number(tolerance.max)}`)
  for (const { setup, cameras } of setups) {
    lines.push('', `── ${setup} ──`, `${' '.repeat(22)}mean     95 %    worst  worst patch`)
    for (const camera of cameras) lines.push(...cameraLines(camera))
  }
  const all = setups.flatMap(({ cameras }) => cameras).filter(({ isTarget }) => !isTarget)
  const out = all.filter((camera) => !camera.within).length
  lines.push('')
  lines.push(
    within
      ? `All ${all.length} LUTs still hold.`
      : `${out} of ${all.length} LUTs no longer hold${out === 1 ? 's' : ''}: match again.`,
  )
  return `${lines.join('\n')}\n`
}

function cameraLines({ camera, isTarget, within, now, made, drift }: VerifiedCamera): string[] {
  const head = `${camera}  ${isTarget ? 'target' : within ? 'holds' : 'no longer holds'}`
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
    ...(drift === undefined ? [] : driftLines(drift)),
  ]
}

/** What changed since, each with what is left of the difference when it is taken out. */
function driftLines({ exposure, whiteBalance, black, dE00 }: Drift): string[] {
  const left = (value: number) => `leaves ${number(value)}`
  if (dE00.whole < unchanged) return ['  since then       nothing has changed at the camera']
  const rows: [what: string, says: string, rest: string][] = [
    ['since then', `ΔE00 ${number(dE00.whole)} in the mean, which without`, ''],
    ['  exposure', `${signed(exposure, 2)} stop`, left(dE00.withoutExposure)],
    [
      '  white balance',
      `R/G × ${number(whiteBalance.redOverGreen, 3)}, B/G × ${number(whiteBalance.blueOverGreen, 3)}, ${signed(whiteBalance.mired, 0)} mired`,
      left(dE00.withoutWhiteBalance),
    ],
    ['  black', black.map((v, i) => `${'RGB'[i]} ${signed(v, 2)} %`).join(', '), left(dE00.withoutBlack)],
    ['  colour', 'crosstalk of the channels', left(dE00.withoutColour)],
  ]
  return rows.map(([what, says, rest]) => `  ${what.padEnd(17)}${says.padEnd(44)}${rest}`.trimEnd())
}
