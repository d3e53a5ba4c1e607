import {
  builtinChart,
  encodeRgb,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  type TransferName,
  targetFromReference,
} from '@isochip/core'

const chart = builtinChart('chart24')
const { light } = targetFromReference(chart, 'D65', resolvePrimaries('bt709'))

/** What a camera records of the 24-patch chart when its light is a factor of what the chart gives. */
export function chartReadings(transfer: TransferName, factor: number): Readings {
  const encoding = resolveEncoding(transfer)
  return {
    patches: chart.patches.map(({ name }) => {
      const [r, g, b] = light.get(name)!
      return { patch: name, rgb: encodeRgb(encoding, [r * factor, g * factor, b * factor]) }
    }),
  }
}
