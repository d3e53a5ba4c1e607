/**
 * A line-up's round of one 1920 × 1080 frame whose corners are given: from the change of the file to the advice, as somebody
 * waits for it, two looks 100 ms apart at the file in it; and its processor time, which is judged: with the two looks it is under a second.
 * After a build: `node --import tsx/esm test/bench/lineUpBench.ts`
 */
import { mkdtempSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { lineUpShow } from '@isochip/show/node'
import { harbourStudio } from '@isochip/synthetic'

const rounds = 6
/** Nobody turns a camera and shoots again sooner, in milliseconds. */
const turning = 3000
const limit = { processorTime: 0.8 }
const size = { width: 1920, height: 1080 }
const folder = mkdtempSync(join(tmpdir(), 'isochip-bench-'))
const { seats, show: text } = harbourStudio(size)
const show = join(folder, 'show.yaml')
const [wide, cross] = seats
const cornersOf = (id: string) => new RegExp(`id: ${id},.*(corners: .*\\]\\])`).exec(text)![1]
writeFileSync(
  show,
  `isochip: 1
title: Bench
chart: chart24
target: { camera: wide }
cameras:
  - { id: wide, encoding: bt709, frames: [wide.png], ${cornersOf(wide!.id)} }
  - { id: cross, encoding: bt709, frames: [cross.png], ${cornersOf(cross!.id)} }
`,
)
const png = async (seat: typeof wide, seed: number) => {
  const { data, bits } = seat!.shoot({ ...seat!.begin, exposure: seat!.begin.exposure + 0.03 * seed }, seed)
  return encodeFrame(createFrame(size.width, size.height, data, bits), { format: 'png' })
}
writeFileSync(join(folder, 'wide.png'), await png(wide, 0))
const shots = await Promise.all(Array.from({ length: rounds }, (_, i) => png(cross, i + 1)))
writeFileSync(join(folder, 'cross.png'), shots[0]!)

const abort = new AbortController()
const events = lineUpShow(show, { signal: abort.signal })
const times: number[] = []
let changed = performance.now()
let begun = process.cpuUsage()
try {
  for await (const event of events) {
    if (event.type === 'trouble') throw event.error
    if (event.type !== 'round') continue
    const seconds = (performance.now() - changed) / 1000
    const { user, system } = process.cpuUsage(begun)
    const processor = (user + system) / 1e6
    // The first one loads what the others use.
    if (event.round > 1) times.push(processor)
    console.log(
      `round ${event.round}: ${seconds.toFixed(2)} s from file to advice, ${processor.toFixed(2)} s of processor time; ΔE00 ${event.kept.now.toFixed(2)}`,
    )
    const next = shots[event.round]
    if (next === undefined) break
    // Somebody turns the camera meanwhile, and the watch goes on.
    setTimeout(() => {
      writeFileSync(join(folder, 'cross.png.new'), next)
      changed = performance.now()
      begun = process.cpuUsage()
      renameSync(join(folder, 'cross.png.new'), join(folder, 'cross.png'))
    }, turning)
  }
} finally {
  abort.abort()
  rmSync(folder, { recursive: true, force: true })
}
const worst = Math.max(...times)
console.log(`most processor time after the first ${worst.toFixed(2)} s, limit ${limit.processorTime} s`)
if (worst > limit.processorTime) process.exitCode = 1
