import type { Frame, Quad } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { reducedFrame } from '../../packages/frames/src/find/prepare/reducedFrame.ts'

export interface ContactSheetEntry {
  readonly title: string
  readonly frame: Frame
  /** Outlines to draw, each from the corner of the first patch: it gets a dot. */
  readonly outlines?: readonly Quad[]
}

const escaped = (text: string) => text.replace(/[&<>"]/g, (c) => `&#${c.charCodeAt(0)};`)

async function figure({ title, frame, outlines = [] }: ContactSheetEntry): Promise<string> {
  const factor = Math.round(frame.width / 320)
  const small = factor > 1 ? reducedFrame(frame, factor) : frame
  const image = Buffer.from(await encodeFrame(small, { format: 'png', bits: 8 })).toString('base64')
  const thick = frame.width / 240
  const drawn = outlines.map(
    (quad) =>
      `<polygon points="${quad.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(' ')}" stroke-width="${thick}"/>` +
      `<circle cx="${quad[0][0].toFixed(1)}" cy="${quad[0][1].toFixed(1)}" r="${2.5 * thick}"/>`,
  )
  return (
    `<figure><svg viewBox="0 0 ${frame.width} ${frame.height}"><image width="${frame.width}" height="${frame.height}" ` +
    `href="data:image/png;base64,${image}"/>${drawn.join('')}</svg><figcaption>${escaped(title)}</figcaption></figure>`
  )
}

/** A page of thumbnails, complete in itself, for a person to look through. */
export async function contactSheet(heading: string, entries: readonly ContactSheetEntry[]): Promise<string> {
  const figures = await Promise.all(entries.map(figure))
  return `<!doctype html><html lang="en"><meta charset="utf-8"><title>${escaped(heading)}</title>
<style>
body { margin: 16px; background: #1d1f21; color: #ccc; font: 12px/1.4 system-ui, sans-serif }
main { display: grid; grid-template-columns: repeat(auto-fill, minmax(300px, 1fr)); gap: 10px }
figure { margin: 0 } svg { width: 100%; display: block } figcaption { padding: 2px 0 6px }
polygon { fill: none; stroke: #ff4fd8 } circle { fill: #ff4fd8 }
</style>
<h1>${escaped(heading)}</h1><main>
${figures.join('\n')}
</main></html>
`
}
