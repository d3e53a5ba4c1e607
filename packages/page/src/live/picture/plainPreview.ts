import type { LatticeLut } from '@isochip/export'
import { levelsOf } from '../form/levelsOf.ts'
import type { Planes } from '../form/planes.ts'
import type { SignalForm } from '../form/signalForm.ts'
import { throughLattice } from './throughLattice.ts'

/** Draws frames through a LUT. */
export interface LutPreview {
  draw(planes: Planes, form: SignalForm, lattice: LatticeLut): void
}

/** Pixels across of what is drawn. */
const widest = 640

/** Without WebGL: every pixel through the lattice, trilinear, on a plain canvas. */
export function plainPreview(canvas: OffscreenCanvas): LutPreview {
  const context = canvas.getContext('2d', { willReadFrequently: true })!
  return {
    draw(planes, form, lattice) {
      const step = Math.max(1, Math.ceil(planes.width / widest))
      const { width, height, levels } = levelsOf(planes, form, step)
      if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height })
      const matched = throughLattice(levels, lattice)
      const picture = new ImageData(width, height)
      for (let from = 0, to = 0; from < matched.length; from += 3, to += 4) {
        for (let c = 0; c < 3; c++) picture.data[to + c] = 255 * matched[from + c]!
        picture.data[to + 3] = 255
      }
      context.putImageData(picture, 0, 0)
    },
  }
}
