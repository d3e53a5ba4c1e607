import { seededRandom } from '@isochip/core'
import { createFrame, type Frame } from '@isochip/frames'

/** A square picture of square tiles of all colours, with gaps and a little noise: rows and columns wherever one looks. */
export function tileWall(side: number, pitch: number): Frame {
  const random = seededRandom(pitch)
  const count = Math.ceil(side / pitch)
  const tiles = Float64Array.from({ length: 3 * count * count }, () => 30 + 200 * random())
  const data = new Uint8Array(3 * side * side)
  for (let y = 0, at = 0; y < side; y++) {
    for (let x = 0; x < side; x++, at += 3) {
      const gap = x % pitch < pitch / 7 || y % pitch < pitch / 7
      const tile = 3 * (Math.floor(y / pitch) * count + Math.floor(x / pitch))
      for (let c = 0; c < 3; c++) data[at + c] = (gap ? 10 : tiles[tile + c]!) + 3 * random()
    }
  }
  return createFrame(side, side, data)
}
