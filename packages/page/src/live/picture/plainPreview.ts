import type { ShownLevels } from './ShownLevels.ts'

/** Draws frames through a LUT. */
export interface LutPreview {
  draw(shown: ShownLevels): void
}

/** Without WebGL: the pixels that the scopes count, through the lattice, on a plain canvas. */
export function plainPreview(canvas: OffscreenCanvas): LutPreview {
  const context = canvas.getContext('2d', { willReadFrequently: true })!
  let picture = new ImageData(1, 1)
  return {
    draw(shown) {
      const { width, height, levels } = shown.matched()
      if (picture.width !== width || picture.height !== height) {
        Object.assign(canvas, { width, height })
        picture = new ImageData(width, height)
        picture.data.fill(255)
      }
      const { data } = picture
      for (let from = 0, to = 0; from < levels.length; from += 3, to += 4) {
        data[to] = 255 * levels[from]!
        data[to + 1] = 255 * levels[from + 1]!
        data[to + 2] = 255 * levels[from + 2]!
      }
      context.putImageData(picture, 0, 0)
    },
  }
}
