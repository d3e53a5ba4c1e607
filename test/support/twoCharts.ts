import { builtinChart } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'

const chart = builtinChart('quay48')
const { pitch, patch } = chart.geometry

/**
 * A picture of two flat charts on grey, the second of half the size, in the sRGB codes that quay48 is printed with.
 *
 * @param covered these patches of the second, counted from 0, show something else
 */
export async function twoCharts(covered: readonly number[] = []): Promise<Uint8Array> {
  const [width, height] = [560, 260]
  const data = new Uint16Array(3 * width * height).fill(9000)
  for (const [x0, y0, wide] of [
    [30, 30, 300],
    [380, 60, 150],
  ] as const) {
    const high = wide / chart.geometry.aspect
    for (const [k, { value }] of chart.patches.entries()) {
      const left = x0 + wide * pitch[0] * (k % chart.columns)
      const top = y0 + high * pitch[1] * Math.floor(k / chart.columns)
      const hidden = wide === 150 && covered.includes(k)
      const [X, Y, Z] = hidden ? ([0.1, 0.2, 0.05] as const) : value!
      const linear = [
        3.2406 * X - 1.5372 * Y - 0.4986 * Z,
        -0.9689 * X + 1.8758 * Y + 0.0415 * Z,
        0.0557 * X - 0.204 * Y + 1.057 * Z,
      ]
      const codes = linear.map((light) => Math.round(65535 * Math.max(0, Math.min(1, light)) ** (1 / 2.2)))
      for (let y = Math.round(top); y < top + high * patch[1]; y++)
        for (let x = Math.round(left); x < left + wide * patch[0]; x++)
          for (let c = 0; c < 3; c++)
            data[3 * (y * width + x) + c] = codes[c]! + (((x * 7 + y * 13 + c * 5) % 11) - 5) * 20
    }
  }
  return encodeFrame(createFrame(width, height, data), { format: 'png' })
}
