import type { WorkingImage } from './workingImage.ts'

/**
 * Makes a picture square by square, each at its first look: what `WorkingImage.need` has to be.
 *
 * @param side of the squares, pixels
 * @param make makes a square; its right and lower ends are not of it, and not beyond the picture
 */
export function bySquares(
  { width, height }: Pick<WorkingImage, 'width' | 'height'>,
  side: number,
  make: (left: number, top: number, right: number, bottom: number) => void,
): NonNullable<WorkingImage['need']> {
  const columns = Math.ceil(width / side)
  const done = new Uint8Array(columns * Math.ceil(height / side))
  return (left, top, right, bottom) => {
    const to = Math.min(columns - 1, Math.floor(right / side))
    const last = Math.floor(Math.min(height - 1, bottom) / side)
    for (let row = Math.max(0, Math.floor(top / side)); row <= last; row++) {
      for (let column = Math.max(0, Math.floor(left / side)); column <= to; column++) {
        if (done[row * columns + column] === 1) continue
        done[row * columns + column] = 1
        const [x, y] = [column * side, row * side]
        make(x, y, Math.min(width, x + side), Math.min(height, y + side))
      }
    }
  }
}
