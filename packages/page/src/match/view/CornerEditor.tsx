import { builtinCharts, type Chart } from '@isochip/core'
import { chartMap, homographyFromUnitSquare, patchAreas, type Quad } from '@isochip/frames'
import type { ShowCorners } from '@isochip/show'
import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { readAgain } from '../actions.ts'
import type { Area } from '../area.ts'
import { drawAreas } from '../drawShot.ts'
import type { ReadShot } from '../messages.ts'
import { type Camera, choices, type Shot } from '../state.ts'

interface CornerEditorProps {
  readonly camera: Camera
  readonly shot: Shot
  readonly frame: NonNullable<ReadShot['frame']>
  onClose(): void
}

const places = [
  'of the first patch',
  'at the end of the first row',
  'of the last patch',
  'at the start of the last row',
]
/** Pixels of the frame across the loupe, and how large it shows them. */
const loupe = { across: 32, size: 192 }
/** As the program samples: the inner 0.55 of a patch. */
const share = 0.55

/** Where the areas would lie with these corners; none where they are no corners of a chart. */
function areasOf(chart: Chart | undefined, corners: ShowCorners): readonly Area[] {
  const map = homographyFromUnitSquare(corners as Quad)
  if (chart === undefined || map === undefined) return []
  return patchAreas(chart, chartMap(map), share).map(({ patch, quad }) => ({ patch, quad, foreign: false }))
}

/** The corners of a chart, dragged or moved by the arrow keys, with the areas that they make and a loupe. */
export function CornerEditor({ camera, shot, frame, onClose }: CornerEditorProps) {
  const dialog = useRef<HTMLDialogElement>(null)
  const stage = useRef<HTMLDivElement>(null)
  const canvas = useRef<HTMLCanvasElement>(null)
  const glass = useRef<HTMLCanvasElement>(null)
  const corners = useSignal<ShowCorners>(frame.corners)
  const held = useSignal(0)
  const chart = builtinCharts.find(({ id }) => id === choices.value.chart)
  const { picture, width, height } = frame
  const scale = picture.width / width

  useEffect(() => dialog.current?.showModal(), [])
  useEffect(() => {
    const context = canvas.current?.getContext('2d')
    if (context == null) return
    context.drawImage(picture, 0, 0)
    drawAreas(context, areasOf(chart, corners.value), scale)
    const [x, y] = corners.value[held.value]!
    const view = glass.current!.getContext('2d')!
    const across = loupe.across * scale
    view.imageSmoothingEnabled = false
    view.fillStyle = '#141414'
    view.fillRect(0, 0, loupe.size, loupe.size)
    view.drawImage(
      picture,
      x * scale - across / 2,
      y * scale - across / 2,
      across,
      across,
      0,
      0,
      loupe.size,
      loupe.size,
    )
    const middle = loupe.size / 2
    for (const [colour, line] of [
      ['#000', 3],
      ['#fff', 1],
    ] as const) {
      view.strokeStyle = colour
      view.lineWidth = line
      view.beginPath()
      view.moveTo(middle, middle - 14)
      view.lineTo(middle, middle + 14)
      view.moveTo(middle - 14, middle)
      view.lineTo(middle + 14, middle)
      view.stroke()
    }
  }, [corners.value, held.value])

  const move = (index: number, x: number, y: number) => {
    const within = (value: number, most: number) => Math.min(Math.max(value, 0), most)
    corners.value = corners.value.map((corner, i) =>
      i === index ? [within(x, width), within(y, height)] : corner,
    )
  }
  const byPointer = (event: PointerEvent, index: number) => {
    const box = stage.current!.getBoundingClientRect()
    move(
      index,
      ((event.clientX - box.left) / box.width) * width,
      ((event.clientY - box.top) / box.height) * height,
    )
  }
  const byKey = (event: KeyboardEvent, index: number) => {
    const step = event.shiftKey ? 10 : 1
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key]
    if (way === undefined) return
    event.preventDefault()
    const [x, y] = corners.value[index]!
    move(index, x + step * way[0]!, y + step * way[1]!)
  }
  const take = (change: ShowCorners | undefined) => {
    void readAgain(camera.key, shot.setup, { corners: change })
    dialog.current?.close()
  }
  return (
    <dialog
      ref={dialog}
      class="corners"
      onClose={onClose}
      aria-label={`Corners of the chart, ${camera.id}, ${shot.setup}`}
    >
      <div class="corner-stage" ref={stage}>
        <canvas ref={canvas} width={picture.width} height={picture.height} />
        {corners.value.map(([x, y], i) => (
          <button
            type="button"
            key={places[i]}
            class="corner"
            aria-label={`Corner ${places[i]}: ${x.toFixed(0)}, ${y.toFixed(0)}`}
            // Left and top follow the corner; styles in attributes are against the page's security policy.
            ref={(element) => {
              if (element === null) return
              element.style.left = `${(100 * x) / width}%`
              element.style.top = `${(100 * y) / height}%`
            }}
            onFocus={() => {
              held.value = i
            }}
            onKeyDown={(event) => byKey(event, i)}
            onPointerDown={(event) => {
              held.value = i
              event.currentTarget.setPointerCapture(event.pointerId)
            }}
            onPointerMove={(event) => {
              if (event.currentTarget.hasPointerCapture(event.pointerId)) byPointer(event, i)
            }}
          >
            {i + 1}
          </button>
        ))}
      </div>
      <div class="corner-side">
        <canvas
          ref={glass}
          width={loupe.size}
          height={loupe.size}
          role="img"
          aria-label={`Loupe at the corner ${places[held.value]}`}
        />
        <p>
          Corner {held.value + 1}: the outer corner {places[held.value]}, not of the card around it. Drag it,
          or move it by the arrow keys (with Shift by ten pixels); Tab goes to the next.
        </p>
        <p class="stack">
          <button type="button" class="main" onClick={() => take(corners.value)}>
            Use these corners
          </button>
          <button type="button" onClick={() => take(undefined)}>
            Find the chart again
          </button>
          <button type="button" onClick={() => dialog.current?.close()}>
            Leave as it was
          </button>
        </p>
      </div>
    </dialog>
  )
}
