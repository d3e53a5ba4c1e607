import { mkdir, rename, rm, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { type LineUpEvent, lineUpShow } from '@isochip/show/node'
import { harbourStudio, type StudioSettings } from '@isochip/synthetic'

/** What can go wrong with a camera's file between two shots. */
export const mishaps = ['half written', 'replaced while read', 'gone', 'no chart', 'two charts'] as const
type Mishap = (typeof mishaps)[number]

export interface DayResult {
  /** Rounds that were told of, by camera. */
  readonly rounds: ReadonlyMap<string, number>
  /** By mishap: how often it happened, and what was said of it each time. */
  readonly said: ReadonlyMap<Mishap, readonly string[]>
  /** Did any round's figure come from a file that was no good? */
  readonly wrong: number
  /** Heap in use after each hundredth part of the day, bytes, where the collector can be called. */
  readonly heap: readonly number[]
}

/** A little room for a frame, so that a day goes by quickly. */
const size = { width: 480, height: 270 }
/** A camera does not need longer than this to be told of; a machine that is busy with other things may. */
const patience = 120_000

/**
 * A day of a line-up: five cameras, the first the target; each in turn is turned a little and shoots, again and again, and every
 * so often something is wrong with its file.
 *
 * @param shots of all cameras together
 * @param folder empty
 * @param every so many shots something is wrong; the five mishaps in turn
 */
export async function lineUpDay(folder: string, shots: number, every = 3): Promise<DayResult> {
  const { seats, show: studioShow } = harbourStudio(size)
  const cameras = ['wide', 'cross', 'crane', 'jib', 'rail']
  const seatOf = new Map(cameras.map((camera, i) => [camera, seats[i < 3 ? i : i - 2]!]))
  const show = join(folder, 'show.yaml')
  await mkdir(folder, { recursive: true })
  // The chart of one is looked for in every shot; where the others' stands is known.
  const cornersOf = (camera: string) =>
    camera === 'cross'
      ? ''
      : `, ${new RegExp(`id: ${seatOf.get(camera)!.id},.*(corners: .*\\]\\])`).exec(studioShow)![1]}`
  const lines = cameras.map(
    (camera) => `  - { id: ${camera}, encoding: bt709, frames: [${camera}.png]${cornersOf(camera)} }`,
  )
  await writeFile(
    show,
    `isochip: 1\ntitle: Day\nchart: chart24\ntarget: { camera: wide }\ncameras:\n${lines.join('\n')}\n`,
  )
  const png = async (camera: string, shot: number, width = size.width) => {
    const seat = seatOf.get(camera)!
    const { exposure } = seat.begin
    const settings: StudioSettings = { ...seat.begin, exposure: exposure + 0.02 * Math.sin(shot) }
    const { data, bits } = seat.shoot(settings, shot)
    const frame = createFrame(size.width, size.height, data, bits)
    if (width === size.width) return encodeFrame(frame, { format: 'png' })
    // The same frame twice beside each other.
    const both = new Uint8Array(6 * size.width * size.height)
    for (let y = 0; y < size.height; y++) {
      const row = data.subarray(3 * size.width * y, 3 * size.width * (y + 1))
      both.set(row, 6 * size.width * y)
      both.set(row, 6 * size.width * y + 3 * size.width)
    }
    return encodeFrame(createFrame(2 * size.width, size.height, both, 8), { format: 'png' })
  }
  const grey = createFrame(size.width, size.height, new Uint8Array(3 * size.width * size.height).fill(90), 8)
  const fileOf = (camera: string) => join(folder, `${camera}.png`)
  const whole = async (camera: string, bytes: Uint8Array) => {
    await writeFile(`${fileOf(camera)}.new`, bytes)
    await rename(`${fileOf(camera)}.new`, fileOf(camera))
  }
  for (const camera of cameras) await whole(camera, await png(camera, 0))

  const abort = new AbortController()
  const events: LineUpEvent[] = []
  let wake = () => {}
  const ended = (async () => {
    for await (const event of lineUpShow(show, { signal: abort.signal, warmsUp: false })) {
      events.push(event)
      wake()
    }
    wake()
  })()
  /** The next event of a camera; others are dropped, so that nothing piles up here. */
  const next = async (camera: string): Promise<LineUpEvent> => {
    const until = Date.now() + patience
    for (;;) {
      while (events.length > 0) {
        const event = events.shift()!
        if (event.camera === camera) return event
      }
      if (Date.now() > until) throw new Error(`nothing was said of ${camera}`)
      await new Promise<void>((resolve) => {
        wake = resolve
        setTimeout(resolve, 1000)
      })
    }
  }
  for (const camera of cameras) await next(camera)

  const rounds = new Map(cameras.slice(1).map((camera) => [camera, 1]))
  const said = new Map<Mishap, string[]>(mishaps.map((mishap) => [mishap, []]))
  const heap: number[] = []
  let wrong = 0
  try {
    for (let shot = 1; shot <= shots; shot++) {
      const camera = cameras[1 + (shot % 4)]!
      const mishap = shot % every === 0 ? mishaps[(shot / every) % mishaps.length] : undefined
      const bytes = await png(camera, shot)
      if (mishap !== undefined) {
        if (mishap === 'half written') await writeFile(fileOf(camera), bytes.subarray(0, bytes.length / 2))
        else if (mishap === 'gone') await rm(fileOf(camera))
        else if (mishap === 'no chart')
          await whole(
            camera,
            await encodeFrame(grey, {
              format: 'png',
            }),
          )
        else if (mishap === 'two charts') await whole(camera, await png(camera, shot + 0.5, 2 * size.width))
        else {
          await whole(camera, bytes)
          // Time enough for the first look, and then others over and over.
          for (let i = 0; i < 20; i++) {
            await whole(camera, i % 2 === 0 ? bytes.subarray(0, bytes.length - 100 * i) : bytes)
            await new Promise((resolve) => setTimeout(resolve, 30))
          }
        }
        const event = await next(camera)
        if (event.type === 'trouble') said.get(mishap)!.push(event.error.message)
        else {
          if (event.type === 'round') rounds.set(camera, rounds.get(camera)! + 1)
          said
            .get(mishap)!
            .push(
              'type' in event && event.type === 'round'
                ? event.warnings.map(({ code }) => code).join() || 'a round'
                : event.type,
            )
          if (mishap !== 'two charts' && mishap !== 'replaced while read') wrong++
        }
      }
      await whole(camera, await png(camera, shot + 0.25))
      for (;;) {
        const event = await next(camera)
        if (event.type !== 'round') continue
        rounds.set(camera, rounds.get(camera)! + 1)
        if (event.round !== rounds.get(camera) || event.trend.length !== event.round) wrong++
        break
      }
      if (globalThis.gc !== undefined && shot % Math.max(1, Math.round(shots / 100)) === 0) {
        globalThis.gc()
        heap.push(process.memoryUsage().heapUsed)
      }
    }
  } finally {
    abort.abort()
    await ended
  }
  return { rounds, said, wrong, heap }
}
