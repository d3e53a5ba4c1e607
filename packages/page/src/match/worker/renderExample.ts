import { renderHarbourKitchen } from '@isochip/synthetic'
import { encode } from 'fast-png'
import type { Answers } from '../messages.ts'

/** Pixels: enough to find the chart in, quick to render. */
const size = { width: 1280, height: 720 }

/** The invented show of the demo, rendered here: nothing is loaded for it. */
export async function renderExample(): Promise<Answers['example']> {
  const { show, shots } = renderHarbourKitchen(size)
  const frames = shots.flatMap((shot) =>
    shot.render().map(({ name, frame: { width, height, data } }) => {
      const png = encode({ width, height, data: data as Uint16Array, channels: 3, depth: 16 })
      return { path: name, file: new Blob([Uint8Array.from(png)], { type: 'image/png' }) }
    }),
  )
  return { show, frames }
}
