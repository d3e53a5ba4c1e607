import { useLayoutEffect, useRef } from 'preact/hooks'

/** Pixels as they come from the pure functions, on a canvas that the style sheet sizes. */
export function Raster({
  width,
  height,
  picture,
  class: name,
}: {
  readonly width: number
  readonly height: number
  /** RGBA. */
  readonly picture: Uint8ClampedArray
  readonly class: string
}) {
  const canvas = useRef<HTMLCanvasElement>(null)
  useLayoutEffect(() => {
    const data = new ImageData(width, height)
    data.data.set(picture)
    canvas.current?.getContext('2d')?.putImageData(data, 0, 0)
  }, [width, height, picture])
  return <canvas ref={canvas} class={name} width={width} height={height} />
}
