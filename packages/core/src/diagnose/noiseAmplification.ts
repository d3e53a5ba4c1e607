import type { Vec3 } from '../linear/mat3.ts'
import { applyModel, type MatchModel } from '../model/model.ts'

/**
 * Root mean square of the noise in each output channel, and in luminance, over that of a white-balanced input whose
 * channels carry equal and independent noise: the row norms of the matrix. A root-polynomial match is taken at mid
 * grey (0.18), where its slopes are.
 *
 * @param luminance weights of the working primaries in luminance: the Y row of RGB → XYZ.
 */
export function noiseAmplification(
  model: MatchModel,
  luminance: Vec3,
): { channels: Vec3; luminance: number } {
  const grey = 0.18
  const step = 1e-6
  const { gain, lift } = model
  const at = (channel: number, by: number): Vec3 => {
    const light = (c: 0 | 1 | 2) => (grey + (c === channel ? by : 0)) / gain[c] - lift[c]
    return applyModel(model, [light(0), light(1), light(2)])
  }
  const columns = [0, 1, 2].map((channel) => {
    const up = at(channel, step)
    const down = at(channel, -step)
    return [0, 1, 2].map((c) => (up[c]! - down[c]!) / (2 * step))
  })
  const row = (c: number) => Math.hypot(columns[0]![c]!, columns[1]![c]!, columns[2]![c]!)
  const through = columns.map((column) => column.reduce((sum, value, c) => sum + luminance[c]! * value, 0))
  return { channels: [row(0), row(1), row(2)], luminance: Math.hypot(...through) / Math.hypot(...luminance) }
}
