import type { EncodingSpec } from '@isochip/core'
import { harbourCameras } from './harbourCameras.ts'
import type { HarbourShot } from './harbourShot.ts'

/** A value in YAML's flow style. Names and numbers only: nothing here needs quotes. */
function flow(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(flow).join(', ')}]`
  if (typeof value === 'object' && value !== null) {
    return `{ ${Object.entries(value)
      .map(([key, inner]) => `${key}: ${flow(inner)}`)
      .join(', ')} }`
  }
  return String(value)
}

function encodingLines(encoding: EncodingSpec): readonly string[] {
  if (typeof encoding === 'string') return [`    encoding: ${encoding}`]
  const { transfer, primaries, range } = encoding
  return [
    '    encoding:',
    `      transfer: ${flow(transfer)}`,
    `      primaries: ${flow(primaries)}`,
    `      range: ${flow(range)}`,
  ]
}

/** The text of the show file: corners in pixels to a tenth. */
export function harbourShowFile(shots: readonly HarbourShot[]): string {
  const lines = [
    'isochip: 1',
    'title: Harbour Kitchen',
    'chart: chart24',
    'target: { camera: wide }',
    'tolerance: { mean: 1.0, max: 3.0 }   # ΔE00',
    'cameras:',
  ]
  for (const { id, camera } of harbourCameras) {
    lines.push(`  - id: ${id}`, ...encodingLines(camera.encoding), '    shots:')
    for (const shot of shots.filter((one) => one.camera === id)) {
      const corners = shot.corners.map(([x, y]) => [x.toFixed(1), y.toFixed(1)])
      lines.push(
        `      - setup: ${shot.setup}`,
        `        frames: ${flow(shot.names)}`,
        `        corners: ${flow(corners)}`,
      )
    }
  }
  return `${lines.join('\n')}\n`
}
