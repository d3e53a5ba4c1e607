import { norm } from '../elementary/norm.ts'
import type { Vec3 } from '../linear/mat3.ts'
import { balancedSlopes, type MatchModel } from '../model/model.ts'

/** Mid grey: common practice, the reflectance of a grey card. */
const grey = [0.18, 0.18, 0.18] as const

/**
 * Root mean square of the noise in each output channel, and in luminance, over that of a white-balanced input whose
 * channels carry equal and independent noise: the row norms of the matrix. A root-polynomial match is taken at mid
 * grey, where its slopes are.
 *
 * @param luminance weights of the working primaries in luminance: the Y row of RGB → XYZ.
 */
export function noiseAmplification(
  model: MatchModel,
  luminance: Vec3,
): { channels: Vec3; luminance: number } {
  const [r, g, b] = balancedSlopes(model, grey)
  const through = ([0, 1, 2] as const).map(
    (c) => luminance[0] * r[c] + luminance[1] * g[c] + luminance[2] * b[c],
  )
  return {
    channels: [norm(r), norm(g), norm(b)],
    luminance: norm(through) / norm(luminance),
  }
}
