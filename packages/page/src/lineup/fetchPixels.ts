import type { ScopePixels } from '../scopes/trace.ts'
import type { PixelsPlace } from './feed.ts'

/** @throws where the server is away, or has another frame by now */
export async function fetchPixels({ path, width, height, unit }: PixelsPlace): Promise<ScopePixels> {
  const answer = await fetch(path)
  if (!answer.ok) throw new Error(`${path}: ${answer.status}`)
  const view = new DataView(await answer.arrayBuffer())
  const data = new Int16Array(view.byteLength / 2)
  if (data.length !== 3 * width * height) throw new Error(`${path}: a frame of another size`)
  for (let i = 0; i < data.length; i++) data[i] = view.getInt16(2 * i, true)
  return { width, height, unit, data }
}
