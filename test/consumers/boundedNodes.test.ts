import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { resolveEncoding, resolvePrimaries, type Vec3 } from '@isochip/core'
import { chooseLattice, type EncodedMatch, type LatticeLut, matchTransform, writeCube } from '@isochip/export'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { consumer } from '../support/consumer.ts'
import { wholeTask } from '../support/wholeTask.ts'
import { frameHeight, frameWidth, testFrame } from './lutNumbers.ts'

// A log camera on BT.709: nodes of a plain lattice go from far below 0 to far above 1.
const match: EncodedMatch = {
  source: resolveEncoding('acescct'),
  model: {
    kind: 'lift-gain-matrix',
    lift: [0, 0, 0],
    gain: [1, 1, 1],
    matrix: [
      [1.2, -0.15, -0.05],
      [-0.08, 1.11, -0.03],
      [0.02, -0.22, 1.2],
    ],
  },
  working: resolvePrimaries('bt709'),
  output: resolveEncoding('bt709'),
}
const exact = matchTransform(match)
const clip = (x: number) => Math.min(Math.max(x, 0), 1)

/** A lattice as a box holds it: whole steps from 0 to 1. */
const stored = (lut: LatticeLut, bits: number): LatticeLut => {
  const steps = 2 ** bits - 1
  return { ...lut, tableRedFastest: lut.tableRedFastest.map((x) => Math.round(clip(x) * steps) / steps) }
}
const lattice = (size: number, nodes: 'float' | 'bounded', bits: number) => {
  const { lut } = chooseLattice(match, {
    size,
    nodes,
    samples: 100,
    ...(nodes === 'bounded' ? { nodeBits: bits } : {}),
  })
  return stored(lut as LatticeLut, bits)
}

// Colours that the output holds, mapped back from a frame of random output codes: what pictures are made of.
const frame = testFrame(1)
const held = Array.from({ length: frame.length / 3 }, (_, i) => {
  const code = [0, 1, 2].map((c) => frame[3 * i + c]! / 65535) as unknown as Vec3
  return exact(code).every((x) => x >= 0 && x <= 1)
})

/** Root of the mean square off the match, cut to 0…1, in codes of 10 bits. */
function off(pixels: Uint16Array): { all: number; held: number } {
  const squares = { all: 0, held: 0 }
  for (let i = 0; i < pixels.length; i += 3) {
    const should = exact([frame[i]! / 65535, frame[i + 1]! / 65535, frame[i + 2]! / 65535])
    for (const c of [0, 1, 2] as const) {
      const apart = 1023 * (pixels[i + c]! / 65535 - clip(should[c]))
      squares.all += apart * apart
      if (held[i / 3]) squares.held += apart * apart
    }
  }
  const count = held.filter(Boolean).length
  return { all: Math.sqrt(squares.all / pixels.length), held: Math.sqrt(squares.held / (3 * count)) }
}

let folder: string
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'isochip-bounded-'))
})
afterAll(() => rmSync(folder, { recursive: true }))

const sizes = [
  [17, 10],
  [33, 12],
  ...(wholeTask
    ? ([
        [33, 10],
        [65, 12],
      ] as const)
    : []),
] as const

/** The same LUT with nodes of either kind through a program: bounded ones are nearer to the match. */
function compared(size: number, bits: number, apply: (file: string) => Uint16Array): void {
  const [plain, bounded] = (['float', 'bounded'] as const).map((nodes) => {
    const lut = lattice(size, nodes, bits)
    const file = join(folder, `${size}-${bits}-${nodes}.cube`)
    writeFileSync(file, writeCube(lut))
    return off(apply(file))
  })
  expect(held.filter(Boolean).length).toBeGreaterThan(30)
  expect(bounded!.all).toBeLessThan(plain!.all)
  expect(bounded!.held).toBeLessThan(plain!.held)
}

const python = consumer('pyopencolorio')
python.describe('bounded nodes through OpenColorIO', () => {
  it.each(sizes)('%i per axis in steps of %i bits', (size, bits) => {
    compared(size, bits, (file) => {
      const [input, out] = [join(folder, 'in.rgb'), join(folder, 'out.rgb')]
      writeFileSync(input, frame)
      const job = { lut: file, frame: input, out, width: frameWidth, height: frameHeight }
      python.run([new URL('./lutOcio.py', import.meta.url).pathname], JSON.stringify(job))
      return words(readFileSync(out))
    })
  })
})

const ffmpeg = consumer('ffmpeg')
ffmpeg.describe('bounded nodes through ffmpeg', () => {
  it.each(sizes)('%i per axis in steps of %i bits', (size, bits) => {
    compared(size, bits, (file) => {
      const raw = ['-f', 'rawvideo', '-pix_fmt', 'rgb48le']
      return words(
        ffmpeg.run(
          [
            ...[
              '-nostdin',
              '-hide_banner',
              '-loglevel',
              'error',
              ...raw,
              '-s',
              `${frameWidth}x${frameHeight}`,
            ],
            ...['-i', 'pipe:0', '-vf', `lut3d=file=${file}:interp=tetrahedral`, ...raw, 'pipe:1'],
          ],
          new Uint8Array(frame.buffer),
        ),
      )
    })
  })
})

function words(bytes: Buffer): Uint16Array {
  return new Uint16Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length))
}
