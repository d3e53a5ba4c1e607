import {
  applyModel,
  builtinChart,
  deltaE00,
  labOfLinear,
  type ModelKind,
  matchCamera,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { patchLight, sensorNames } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { seededRandom } from '../src/random.ts'

const chart = builtinChart('chart24')
const working = resolvePrimaries('bt709')
const encoding = resolveEncoding('linear')
const lab = labOfLinear(working)
const seen = (device: (typeof sensorNames)[number]) => patchLight({ chart, device, light: 'D65' })

/** Match with only some of the patches, judge on the rest. */
function judge(
  kept: readonly number[],
  noise: number,
  seed: number,
  pair: number,
  model: ModelKind = 'lift-gain-matrix',
) {
  const from = seen(sensorNames[pair % 8]!)
  const to = seen(sensorNames[(pair + 3) % 8]!)
  const random = seededRandom(seed)
  const shake = ({ light: [r, g, b] }: { light: Vec3 }): Vec3 => {
    const by = () => noise * (2 * random() - 1)
    return [r + by(), g + by(), b + by()]
  }
  const readings = { patches: kept.map((i) => ({ patch: from[i]!.patch, rgb: shake(from[i]!) })) }
  const target = {
    light: new Map(kept.map((i) => [to[i]!.patch, to[i]!.light])),
    standardError: new Map(),
    excluded: new Map(),
    warnings: [],
  }
  const match = matchCamera({ chart, readings, encoding, target, working }, { model, robust: false })
  const others = from.map((_, i) => i).filter((i) => !kept.includes(i))
  const error = others.map((i) => deltaE00(lab(applyModel(match.model, from[i]!.light)), lab(to[i]!.light)))
  return { match, mean: error.reduce((sum, value) => sum + value, 0) / error.length }
}

describe('a match on few patches', () => {
  // Six patches for four terms a channel: red, green, blue, skin, two greys.
  const six = [1, 12, 13, 14, 18, 21]

  it('is regularised towards lift and gain, says so, and judges unseen patches no worse than lift and gain would', () => {
    let matched = 0
    let levelled = 0
    let asShot = 0
    for (let seed = 1; seed <= 24; seed++) {
      const { match, mean } = judge(six, 0.004, seed, seed)
      expect(match.warnings.map((warning) => warning.code)).toContain('regularised')
      matched += mean
      levelled += judge(six, 0.004, seed, seed, 'lift-gain').mean
      const from = seen(sensorNames[seed % 8]!)
      const to = seen(sensorNames[(seed + 3) % 8]!)
      const rest = from.filter((_, i) => !six.includes(i))
      asShot +=
        rest.reduce(
          (sum, { patch, light }) =>
            sum + deltaE00(lab(light), lab(to.find((t) => t.patch === patch)!.light)),
          0,
        ) / rest.length
    }
    // Over all pairs: the same six patches with the same noise, fitted with lift and gain alone.
    expect(matched).toBeLessThan(levelled)
    // The sensors come white-balanced and without lift, so that as shot is what perfect lift and gain give.
    expect(matched).toBeLessThan(asShot)
  })

  it('is left alone with the whole chart', () => {
    const all = chart.patches.map((_, i) => i)
    const { match } = judge([...all.slice(0, 23)], 0, 1, 0)
    expect(match.warnings.map((warning) => warning.code)).not.toContain('regularised')
  })
})
