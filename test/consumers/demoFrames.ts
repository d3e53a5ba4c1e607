import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import {
  apply3,
  decodeRgb,
  deltaE00,
  labOfLinear,
  primariesConversion,
  resolveEncoding,
  resolvePrimaries,
} from '@isochip/core'
import { createFrame, sampleChart } from '@isochip/frames'
import { decodeFrame } from '@isochip/frames/node'
import type { FramesShot, MatchFile } from '@isochip/show'
import { applyLutToFrames, type LoadedShow, loadShow, matchShow } from '@isochip/show/node'
import { writeDemoShow } from '../../packages/cli/src/writeDemoShow.ts'
import type { ConsumerTool } from '../support/consumerTool.ts'

/** The demo, matched: its frames as files and what the match says. */
export interface MatchedDemo {
  readonly folder: string
  readonly loaded: LoadedShow
  readonly matches: readonly MatchFile[]
  /** ΔE00 that the lattice of each LUT costs at most, as the report states it: by setup and camera. */
  readonly latticeCost: ReadonlyMap<string, number>
}

/** A frame of 16-bit RGB samples. */
export interface Pixels {
  readonly width: number
  readonly height: number
  readonly data: Uint16Array
}

/** Renders the demo and matches it, in a new folder, which `remove` takes away again. */
export async function matchedDemo(): Promise<MatchedDemo & { remove(): void }> {
  const folder = mkdtempSync(join(tmpdir(), 'isochip-demo-'))
  // At a quarter of the demo's width and height: every pixel of it is looked at.
  const size = { width: 480, height: 270 }
  const show = await writeDemoShow(folder, false, undefined, () => undefined, size)
  const { matches, report } = await matchShow(show, { workers: 0 })
  const cameras = report.setups.flatMap((setup) => setup.cameras)
  return {
    latticeCost: new Map(
      cameras.map(({ setup, camera, lut }) => [`${setup}/${camera}`, lut!.interpolation!.max]),
    ),
    folder,
    loaded: await loadShow(show),
    matches,
    remove: () => {
      rmSync(folder, { recursive: true })
    },
  }
}

export const lutOf = ({ folder }: MatchedDemo, { setup, camera }: MatchFile): string =>
  join(folder, 'isochip-out', setup, `${camera}.cube`)

function shotOf({ loaded }: MatchedDemo, { setup, camera }: MatchFile): FramesShot {
  const shot = loaded.plan.show.cameras
    .find(({ id }) => id === camera)!
    .shots.find((one) => one.setup === setup)!
  if (shot.kind !== 'frames') throw new Error(`camera ${camera} has no frames in setup ${setup}`)
  return shot
}

/** The frames of a match, as files. */
export const framesOf = (demo: MatchedDemo, match: MatchFile): string[] =>
  shotOf(demo, match).frames.map((name) => join(demo.folder, name))

/** The frame through the LUT by `isochip apply`. */
export async function throughOurs(demo: MatchedDemo, match: MatchFile, file: string): Promise<Pixels> {
  const out = join(demo.folder, 'graded', match.setup, match.camera)
  const { files } = await applyLutToFrames(lutOf(demo, match), [file], { out })
  const { width, height, data } = await decodeFrame(files[0]!)
  return { width, height, data: data as Uint16Array }
}

/** The frame's file through ffmpeg: its own decoder, its own interpolation, 16 bits in and out. */
export function throughFfmpeg(ffmpeg: ConsumerTool, lut: string, file: string, size: Size): Pixels {
  const filter = `format=rgb48le,lut3d=file=${lut}:interp=tetrahedral,format=rgb48le`
  const quiet = ['-nostdin', '-hide_banner', '-loglevel', 'error']
  const raw = ['-f', 'rawvideo', '-pix_fmt', 'rgb48le', 'pipe:1']
  return { ...size, data: samples(ffmpeg.run([...quiet, '-i', file, '-vf', filter, ...raw])) }
}

interface Size {
  readonly width: number
  readonly height: number
}

const script = new URL('./lutOcio.py', import.meta.url).pathname

/** The frame through OpenColorIO, 16 bits in and out. */
export function throughOcio(python: ConsumerTool, demo: MatchedDemo, lut: string, frame: Pixels): Pixels {
  const file = join(demo.folder, 'ocio.rgb')
  writeFileSync(file, frame.data)
  const { width, height } = frame
  python.run([script], JSON.stringify({ lut, frame: file, width, height, out: file }))
  return { width, height, data: samples(readFileSync(file)) }
}

function samples(bytes: Buffer): Uint16Array {
  return new Uint16Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length))
}

/** ΔE00 of every patch between graded frames, sampled where the chart is, and the target of the match. */
export function measuredPatches(
  demo: MatchedDemo,
  match: MatchFile,
  graded: readonly Pixels[],
): readonly { readonly patch: string; readonly measured: number; readonly stated: number }[] {
  const output = resolveEncoding(match.outputEncoding)
  const working = resolvePrimaries(match.working)
  const toWorking = primariesConversion(output.primaries, working)
  const lab = labOfLinear(working)
  const { readings } = sampleChart({
    frames: graded.map(({ width, height, data }) => createFrame(width, height, data, 16)),
    chart: demo.loaded.plan.chart,
    range: output.range,
    corners: shotOf(demo, match).corners as [Corner, Corner, Corner, Corner],
  })
  // The reference camera goes to itself, and is where it was.
  const aims =
    match.kind === 'reference'
      ? match.patches
          .filter(({ excluded }) => excluded === undefined)
          .map(({ patch, source }) => ({ patch, target: source, stated: 0 }))
      : match.patches
          .filter(({ weight }) => weight > 0)
          .map(({ patch, target, dE00 }) => ({ patch, target, stated: dE00.after }))
  return aims.map(({ patch, target, stated }) => {
    const { rgb } = readings.patches.find((one) => one.patch === patch)!
    const light = apply3(toWorking, decodeRgb(output, rgb))
    return { patch, measured: deltaE00(lab(light), lab(target)), stated }
  })
}

type Corner = readonly [number, number]
