import { mkdtempSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { lineUpShow } from '@isochip/show/node'
import { harbourStudio, type StudioSettings, type StudioTurn, turned } from '@isochip/synthetic'

/**
 * Does a line-up grow? Five cameras, one of them the target, are lined up and then shot again, round after round with nothing in
 * between; what is in use of the heap after each tenth part. Usage, with the collector at hand:
 * node --expose-gc … lineUpMemory.ts [ROUNDS]
 */
const rounds = Number(process.argv[2] ?? 500)
const every = Math.max(1, Math.round(rounds / 10))
const size = { width: 480, height: 270 }
const folder = mkdtempSync(join(tmpdir(), 'isochip-memory-'))
const { seats, show: text } = harbourStudio(size)
const cameras = ['wide', 'cross', 'crane', 'jib', 'rail']
const seatOf = (camera: string) => {
  const i = cameras.indexOf(camera)
  return seats[i < 3 ? i : i - 2]!
}
const cornersOf = (camera: string) =>
  new RegExp(`id: ${seatOf(camera).id},.*(corners: .*\\]\\])`).exec(text)![1]
writeFileSync(
  join(folder, 'show.yaml'),
  `isochip: 1\ntitle: Memory\nchart: chart24\ntarget: { camera: wide }\ncameras:\n${cameras
    .map(
      (camera) => `  - { id: ${camera}, encoding: bt709, frames: [${camera}.png], ${cornersOf(camera)} }\n`,
    )
    .join('')}`,
)
const settings = new Map<string, StudioSettings>(cameras.map((camera) => [camera, seatOf(camera).begin]))
const shoot = async (camera: string, shot: number) => {
  const { data, bits } = seatOf(camera).shoot(settings.get(camera)!, shot)
  return encodeFrame(createFrame(size.width, size.height, data, bits), { format: 'png' })
}
const put = (camera: string, bytes: Uint8Array) => {
  const file = join(folder, `${camera}.png`)
  writeFileSync(`${file}.new`, bytes)
  renameSync(`${file}.new`, file)
}
/** Cameras are turned as they are told in so many rounds, and then only looked at again: two shots that take turns. */
const turning = 4
const shots = new Map<string, Uint8Array[]>()
const next = async (camera: string, round: number, asked: StudioTurn) => {
  if (round <= turning) {
    settings.set(camera, turned(settings.get(camera)!, asked))
    return shoot(camera, round)
  }
  // The same bytes as just before would be no new round.
  if (!shots.has(camera)) shots.set(camera, [await shoot(camera, 1000), await shoot(camera, 1001)])
  return shots.get(camera)![round % 2]!
}

const abort = new AbortController()
const done = new Map<string, number>()
const begun = Date.now()
const megabytes = (bytes: number) => (bytes / 2 ** 20).toFixed(1)
try {
  for (const camera of cameras) put(camera, await shoot(camera, 0))
  for await (const event of lineUpShow(join(folder, 'show.yaml'), { signal: abort.signal })) {
    if (event.type === 'trouble') throw event.error
    if (event.type !== 'round') continue
    const { camera, round } = event
    done.set(camera, round)
    if (round < rounds) put(camera, await next(camera, round, event.kept.asked))
    const least = Math.min(...cameras.slice(1).map((one) => done.get(one) ?? 0))
    if (camera === cameras.at(-1) && round % every === 0) {
      globalThis.gc?.()
      globalThis.gc?.()
      const { heapUsed, external, rss } = process.memoryUsage()
      console.log(
        `round ${round} of each: heap ${megabytes(heapUsed)} MiB, buffers ${megabytes(external)} MiB, process ${megabytes(rss)} MiB; lineup.json ${statSync(join(folder, 'lineup.json')).size} bytes; ${((Date.now() - begun) / 1000).toFixed(0)} s`,
      )
    }
    if (least >= rounds) break
  }
} finally {
  abort.abort()
  rmSync(folder, { recursive: true, force: true })
}
