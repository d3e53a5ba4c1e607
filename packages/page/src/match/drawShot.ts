import type { Area } from './area.ts'
import type { ReadShot } from './messages.ts'

type ShotFrame = NonNullable<ReadShot['frame']>

/** A frame's reduced picture with the areas that are sampled, over the whole of a canvas. */
export function drawShot(
  canvas: HTMLCanvasElement,
  { picture, width, areas }: Pick<ShotFrame, 'picture' | 'width'> & { readonly areas: readonly Area[] },
): void {
  canvas.width = picture.width
  canvas.height = picture.height
  const context = canvas.getContext('2d')!
  context.drawImage(picture, 0, 0)
  drawAreas(context, areas, picture.width / width)
}

/** Dark under light, so that an outline is seen on every patch; what is left out is crossed. */
export function drawAreas(context: CanvasRenderingContext2D, areas: readonly Area[], scale: number): void {
  for (const { quad, foreign } of areas) {
    const corner = (i: number): [number, number] => [quad[i]![0] * scale, quad[i]![1] * scale]
    context.beginPath()
    context.moveTo(...corner(0))
    for (let i = 1; i < quad.length; i++) context.lineTo(...corner(i))
    context.closePath()
    if (foreign && quad.length === 4) {
      context.moveTo(...corner(0))
      context.lineTo(...corner(2))
      context.moveTo(...corner(1))
      context.lineTo(...corner(3))
    }
    for (const [colour, width] of [
      ['#000', 3],
      ['#fff', 1.25],
    ] as const) {
      context.strokeStyle = colour
      context.lineWidth = width
      context.stroke()
    }
  }
}
