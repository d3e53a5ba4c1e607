import { cos, ln } from '@isochip/core'
/**
 * 4096 numbers with the distribution of the standard normal: radius and angle of Box and Muller (1958) on an even
 * lattice of 64 × 64, scaled to a variance of exactly 1.
 */
export const normals: Float32Array = (() => {
  const table = new Float32Array(4096)
  for (let i = 0; i < 64; i++) {
    const radius = Math.sqrt(-2 * ln((i + 0.5) / 64))
    for (let j = 0; j < 64; j++) table[i * 64 + j] = radius * cos((2 * Math.PI * (j + 0.5)) / 64)
  }
  const variance = table.reduce((sum, value) => sum + value * value, 0) / table.length
  return table.map((value) => value / Math.sqrt(variance))
})()
