import type { LatticeLut } from '@isochip/export'
import { scopeLayout } from '../../scopes/scopeLayout.ts'
import { scopePicture } from '../../scopes/scopePicture.ts'
import type { ScopeStandard } from '../../scopes/standard.ts'
import type { Planes } from '../form/planes.ts'
import type { SignalForm } from '../form/signalForm.ts'
import { type LutPreview, plainPreview } from '../picture/plainPreview.ts'
import { ShownLevels } from '../picture/ShownLevels.ts'
import { webglPreview } from '../picture/webglPreview.ts'
import type { Pace } from './liveMessages.ts'

/** Frames between two words on the pace. */
const often = 10

/** Draws scopes and matched picture of an input, frame by frame. */
export class LiveDrawer {
  standard: ScopeStandard | undefined
  lattice: LatticeLut | undefined
  /** Scopes of what the LUT makes of the frame, where there is one? */
  matched = false
  #scopes: OffscreenCanvasRenderingContext2D | undefined
  #preview: LutPreview | undefined
  #frames = 0
  #since = 0
  #all = 0
  #step = 1

  scopesOn(canvas: OffscreenCanvas): void {
    Object.assign(canvas, { width: scopeLayout.width, height: scopeLayout.height })
    this.#scopes = canvas.getContext('2d', { willReadFrequently: true }) ?? undefined
  }

  previewOn(canvas: OffscreenCanvas): void {
    this.#preview = webglPreview(canvas) ?? plainPreview(canvas)
  }

  draw(planes: Planes, form: SignalForm): void {
    const { lattice, standard } = this
    if (this.#frames === 0) this.#since = performance.now()
    const shown = new ShownLevels(planes, form, lattice)
    this.#step = shown.step
    if (lattice !== undefined) this.#preview?.draw(shown)
    if (this.#scopes !== undefined && standard !== undefined) {
      const { width, height, levels: data } = this.matched ? shown.matched() : shown.own()
      const picture = scopePicture({ width, height, data, unit: 1 }, standard)
      this.#scopes.putImageData(new ImageData(picture, scopeLayout.width, scopeLayout.height), 0, 0)
    }
    this.#frames++
    this.#all++
  }

  /** Every so many frames, how fast they were. */
  pace(): Pace | undefined {
    if (this.#frames < often) return undefined
    const seconds = (performance.now() - this.#since) / 1000
    const pace = { shown: this.#frames / seconds, frames: this.#all, step: this.#step }
    this.#frames = 0
    return pace
  }
}
