import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { decodeFrame } from '@isochip/frames/node'
import { matchShow } from '@isochip/show/node'
import { roomForFrames } from 'isochip'
import { filesBelow } from '../support/filesBelow.ts'
import { fullShow, type LargeShowOptions, writeLargeShow } from '../support/largeShow.ts'
import { writeMovieShow } from './movieShow.ts'

/**
 * A show of twelve cameras in four setups, or in as many as are asked for, of stills or of clips: `pnpm bench show 40`,
 * `pnpm bench show 40 clips`. How long it takes beside the decoding of its frames alone, how long another run takes,
 * and one after a frame was changed; with one thread and with two; the memory that it takes. In a process like the
 * command's.
 */
roomForFrames()
const setups = Number(process.argv[2] ?? 4)
const clips = process.argv[3] === 'clips'
const ending = clips ? '.mp4' : '.png'
const options = { ...fullShow, setups }
const shots = options.cameras * setups
const folder = mkdtempSync(join(tmpdir(), 'isochip-bench-'))
const seconds = (since: number) => (performance.now() - since) / 1000
/** Processor time of the process until now, all threads, in seconds. */
const spent = () => {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1e6
}
const say = (what: string, value: number, unit: string, more = '') =>
  console.log(`${what.padEnd(58)} ${value.toFixed(value < 10 ? 2 : 0).padStart(8)} ${unit}${more}`)

async function writeShow(name: string, options: LargeShowOptions): Promise<string> {
  const stills = await writeLargeShow(join(folder, name), options)
  if (!clips) return stills
  const show = writeMovieShow(stills, join(folder, `${name}-clips`))
  rmSync(join(folder, name), { recursive: true })
  return show
}

interface Run {
  readonly took: number
  readonly spent: number
  readonly read: number
  readonly made: number
}

async function run(show: string, out: string, workers: number, cache?: string): Promise<Run> {
  let read = 0
  let made = 0
  const start = performance.now()
  const before = spent()
  await matchShow(show, {
    out: join(folder, out),
    workers,
    ...(cache === undefined ? {} : { cache: join(folder, cache) }),
    onEvent(event) {
      if (event.type === 'shot-read' && !event.cached) read++
      if (event.type === 'match-finished' && !event.cached) made++
    },
  })
  return { took: seconds(start), spent: spent() - before, read, made }
}

/** All frames, two at once as the threads do it, and nothing else. */
async function decodeAll(show: string): Promise<Pick<Run, 'took' | 'spent'>> {
  const frames = filesBelow(join(show, '..')).filter((name) => name.endsWith(ending))
  const start = performance.now()
  const before = spent()
  let next = 0
  const lane = async () => {
    while (next < frames.length) await decodeFrame(join(show, '..', frames[next++]!))
  }
  await Promise.all([lane(), lane()])
  return { took: seconds(start), spent: spent() - before }
}

try {
  const show = await writeShow('card', options)
  console.log(
    `${options.cameras} cameras × ${setups} setups of ${options.width}×${options.height}, ${clips ? 'H.264 clips, 10 bit' : '16-bit PNG'}`,
  )
  await decodeAll(show)
  const decoding = await decodeAll(show)
  say('decoding the frames alone', decoding.took, 's')
  const first = await run(show, 'two', 2, 'kept')
  const beside = ({ took }: Run) => `  (${(took / decoding.took).toFixed(1)} × decoding)`
  // That of other programs, which decode clips, is not known: the share of the time is a measure of it.
  const sayShare = ({ took, spent }: Run) =>
    clips
      ? say('  of its time, decoding', (100 * decoding.took) / took, '%')
      : say('  of its processor time, decoding', (100 * decoding.spent) / spent, '%')
  say('first run, 2 threads', first.took, 's', beside(first))
  sayShare(first)
  say('  a shot', (1000 * first.took) / shots, 'ms')
  // What the threads take is part of it.
  say('peak memory of the process', process.resourceUsage().maxRSS / 1024, 'MiB', '  (aim: under 1500)')
  const again = await run(show, 'two', 2, 'kept')
  say('second run', again.took, 's', `  (aim: under 3; ${again.read} shots read, ${again.made} matches made)`)

  // LUTs and figures alone, as for what nobody will look at.
  const bare = join(show, '..', 'bare.json')
  writeFileSync(
    bare,
    JSON.stringify({ ...JSON.parse(readFileSync(show, 'utf8')), output: { pictures: false } }),
  )
  const plain = await run(bare, 'bare', 2)
  say('first run without pictures, 2 threads', plain.took, 's', beside(plain))
  sayShare(plain)

  // One frame of a camera that is not the target, with one sample changed.
  const name = `camera02/scene001${ending}`
  const other = await writeShow('other', {
    ...options,
    cameras: 2,
    setups: 1,
    noise: 9999,
  })
  writeFileSync(join(show, '..', name), readFileSync(join(other, '..', name)))
  const touched = await run(show, 'two', 2, 'kept')
  say(
    'after one frame was changed',
    touched.took,
    's',
    `  (${touched.read} shot read, ${touched.made} match made)`,
  )

  const one = await run(show, 'one', 1)
  say('first run, 1 thread', one.took, 's')
  const names = filesBelow(join(folder, 'two'))
  const differing = names.filter(
    (name) => !readFileSync(join(folder, 'two', name)).equals(readFileSync(join(folder, 'one', name))),
  )
  console.log(`files that differ between 1 and 2 threads: ${differing.length} of ${names.length}`)
  if (differing.length > 0 || again.read + again.made > 0 || touched.read !== 1 || touched.made !== 1)
    process.exitCode = 1
} finally {
  rmSync(folder, { recursive: true, force: true })
}
