import type { GridChart, Vec3 } from '@isochip/core'
import { referenceColours } from '../../src/find/place/referenceColours.ts'
import { createFrame, type Frame, type Point } from '../../src/index.ts'
import { normalNumbers, randomNumbers } from './scene.ts'

type Backdrop = 'plain' | 'gradient' | 'tiles' | 'windows' | 'keyboard' | 'bars' | 'clutter' | 'stripes'

/** A chart before a camera, in linear light of BT.709 primaries. Angles in degrees, lengths in frame widths. */
export interface FindScene {
  readonly chart: GridChart
  readonly width: number
  readonly height: number
  /** Width of the patch grid. */
  readonly size: number
  readonly at: Point
  /** Turn in the picture, slant away from the camera, and the direction about which it is slanted. */
  readonly turn: number
  readonly slant: number
  readonly slantTo: number
  readonly mirrored: boolean
  readonly stops: number
  /** Gains of red and blue against green. */
  readonly balance: readonly [red: number, blue: number]
  /** Noise in code fractions, and standard deviation of the blur in pixels. */
  readonly noise: number
  readonly blur: number
  readonly distortion: number
  readonly backdrop: Backdrop
  /** Reflectance of the board and of what lies between patches. */
  readonly board: number
  /** Width of the gaps over the chart's own; 0 lets the patches touch. */
  readonly gaps: number
  /** Light added on one side of the chart. */
  readonly glare: number
  readonly transfer: 'bt709' | 'linear' | 'log'
  readonly start: number
  /** No chart at all. */
  readonly empty?: boolean
}

export interface Rendered {
  readonly frame: Frame
  /** Outer corners of the patch grid, from the corner of the first patch on, as the chart is read. */
  readonly corners: readonly Point[]
}

const encode = {
  bt709: (v: number) => (v < 0.018 ? 4.5 * v : 1.099 * v ** 0.45 - 0.099),
  linear: (v: number) => v,
  log: (v: number) => 0.09 * Math.log2(Math.max(v, 0) + 0.008) + 0.72,
}

type Surface = (x: number, y: number) => Vec3

/** A world of its own behind the chart; coordinates in frame widths. */
function backdropOf(scene: FindScene): Surface {
  const next = randomNumbers(scene.start * 7 + 1)
  const colour = (): Vec3 => [0.03 + 0.7 * next(), 0.03 + 0.7 * next(), 0.03 + 0.7 * next()]
  const a = colour()
  const b = colour()
  const grey = 0.05 + 0.6 * next()
  const pitch = 0.05 + 0.07 * next()
  const lean = (next() - 0.5) * 0.5
  const turned = (x: number, y: number): Point => [x + lean * y, y - lean * x]
  const cellValue = (i: number, j: number) => {
    const mixed = Math.imul(i * 374761393 + j * 668265263 + scene.start * 1274126177, 2654435761) >>> 0
    return ((mixed ^ (mixed >>> 13)) & 0xffff) / 65536
  }
  switch (scene.backdrop) {
    case 'plain':
      return () => [grey, grey, grey]
    case 'gradient':
      return (x, y) => [grey * (0.4 + x), grey * (0.5 + 0.5 * y), grey * (1 - 0.5 * x)]
    case 'tiles':
    case 'keyboard':
      return (x, y) => {
        const [u, v] = turned(x, y)
        const fx = u / pitch - Math.floor(u / pitch)
        const fy = v / pitch - Math.floor(v / pitch)
        const gap = scene.backdrop === 'tiles' ? 0.08 : 0.16
        if (fx < gap || fy < gap) return scene.backdrop === 'tiles' ? [0.6, 0.58, 0.55] : [0.02, 0.02, 0.02]
        const vary = 0.85 + 0.3 * cellValue(Math.floor(u / pitch), Math.floor(v / pitch))
        const mark = scene.backdrop === 'keyboard' && Math.hypot(fx - 0.5, fy - 0.5) < 0.16 ? 0.6 : 0
        return [a[0] * vary + mark, a[1] * vary + mark, a[2] * vary + mark]
      }
    case 'windows':
      return (x, y) => {
        const [u, v] = turned(x, y)
        const fx = u / pitch - Math.floor(u / pitch)
        const fy = v / (1.4 * pitch) - Math.floor(v / (1.4 * pitch))
        if (fx < 0.3 || fy < 0.3) return [0.3, 0.22, 0.18]
        const lit = cellValue(Math.floor(u / pitch), Math.floor(v / (1.4 * pitch)))
        return lit > 0.5 ? [0.9 * lit, 0.75 * lit, 0.4 * lit] : [0.03, 0.04, 0.07]
      }
    case 'bars':
      return (x, y) => {
        const [u, v] = turned(x, y)
        const i = Math.floor(u / pitch)
        const j = Math.floor(v / pitch)
        if (u / pitch - i < 0.08 || v / pitch - j < 0.08) return [0.01, 0.01, 0.01]
        return [
          0.05 + 0.8 * cellValue(i, j),
          0.05 + 0.8 * cellValue(i + 91, j),
          0.05 + 0.8 * cellValue(i, j + 57),
        ]
      }
    case 'stripes':
      return (x, y) => (Math.floor(turned(x, y)[0] / 0.02) % 2 === 0 ? a : b)
    default: {
      const boxes = Array.from({ length: 90 }, () => {
        const angle = next() * Math.PI
        return {
          x: next(),
          y: next() * 0.6,
          w: 0.01 + 0.1 * next() ** 2,
          h: 0.01 + 0.1 * next() ** 2,
          c: Math.cos(angle),
          s: Math.sin(angle),
          colour: colour(),
        }
      })
      return (x, y) => {
        for (const box of boxes) {
          const dx = x - box.x
          const dy = y - box.y
          if (Math.abs(dx * box.c + dy * box.s) < box.w && Math.abs(dy * box.c - dx * box.s) < box.h)
            return box.colour
        }
        return [grey, grey, grey]
      }
    }
  }
}

export function renderFindScene(scene: FindScene): Rendered {
  const { chart, width, height } = scene
  const behind = backdropOf(scene)
  const colours = referenceColours(chart)!
  const rad = Math.PI / 180
  const aspect = chart.geometry.aspect
  const turn = scene.turn * rad
  const slant = scene.slant * rad
  const to = scene.slantTo * rad
  // The chart's plane: turned in itself, slanted about an axis in the picture, seen from 2.2 frame widths away.
  const distance = 2.2
  const radius = Math.hypot(width, height) / 2
  const place = (u: number, v: number): Point => {
    const px = (scene.mirrored ? 0.5 - u : u - 0.5) * scene.size
    const py = ((v - 0.5) * scene.size) / aspect
    const x = px * Math.cos(turn) - py * Math.sin(turn)
    const y = px * Math.sin(turn) + py * Math.cos(turn)
    const along = x * Math.cos(to) + y * Math.sin(to)
    const off = -x * Math.sin(to) + y * Math.cos(to)
    const depth = distance + off * Math.sin(slant)
    const flat = off * Math.cos(slant)
    const zoom = distance / depth
    const sx = (along * Math.cos(to) - flat * Math.sin(to)) * zoom
    const sy = (along * Math.sin(to) + flat * Math.cos(to)) * zoom
    const ideal: Point = [(scene.at[0] + sx) * width, (scene.at[1] + sy) * width]
    const dx = ideal[0] - width / 2
    const dy = ideal[1] - height / 2
    const factor = 1 + (scene.distortion * (dx * dx + dy * dy)) / radius ** 2
    return [width / 2 + factor * dx, height / 2 + factor * dy]
  }
  const unlens = (x: number, y: number): Point => {
    if (scene.distortion === 0) return [x / width, y / width]
    let gx = x
    let gy = y
    for (let k = 0; k < 8; k++) {
      const dx = gx - width / 2
      const dy = gy - height / 2
      const factor = 1 + (scene.distortion * (dx * dx + dy * dy)) / radius ** 2
      gx += x - (width / 2 + factor * dx)
      gy += y - (height / 2 + factor * dy)
    }
    return [gx / width, gy / width]
  }
  const [cosTo, sinTo, cosSlant, sinSlant] = [Math.cos(to), Math.sin(to), Math.cos(slant), Math.sin(slant)]
  const [cosTurn, sinTurn] = [Math.cos(turn), Math.sin(turn)]
  const chartAt = (sx: number, sy: number): Point => {
    const x0 = sx - scene.at[0]
    const y0 = sy - scene.at[1]
    const a = x0 * cosTo + y0 * sinTo
    const b = -x0 * sinTo + y0 * cosTo
    // b = flat·zoom, zoom = distance / (distance + off·sin): solved for off.
    const off = (b * distance) / (distance * cosSlant - b * sinSlant)
    const zoom = distance / (distance + off * sinSlant)
    const along = a / zoom
    const x = along * cosTo - off * sinTo
    const y = along * sinTo + off * cosTo
    const px = x * cosTurn + y * sinTurn
    const py = -x * sinTurn + y * cosTurn
    return [(scene.mirrored ? -px : px) / scene.size + 0.5, (py * aspect) / scene.size + 0.5]
  }
  const [pitchX, pitchY] = chart.geometry.pitch
  const [sizeX, sizeY] = chart.geometry.patch
  const gapX = ((pitchX - sizeX) * scene.gaps) / 2
  const gapY = ((pitchY - sizeY) * scene.gaps) / 2
  const border = 0.6 * pitchX
  const board: Vec3 = [scene.board, scene.board, scene.board * 1.03]
  const surface: Surface = (x, y) => {
    const [u, v] = chartAt(x, y)
    if (scene.empty || u < -border || u > 1 + border || v < -border * aspect || v > 1 + border * aspect)
      return behind(x, y)
    const cu = u + (pitchX - sizeX) / 2
    const cv = v + (pitchY - sizeY) / 2
    const column = Math.floor(cu / pitchX)
    const row = Math.floor(cv / pitchY)
    const fu = cu - column * pitchX
    const fv = cv - row * pitchY
    const inside = column >= 0 && row >= 0 && column < chart.columns && row < chart.rows
    const within = inside && fu > gapX && fu < pitchX - gapX && fv > gapY && fv < pitchY - gapY
    const base = within ? colours[row * chart.columns + column]! : board
    if (scene.glare === 0) return base
    const shine = scene.glare * Math.exp(-(((u - 0.15) / 0.16) ** 2 + ((v - 0.2) / 0.3) ** 2))
    return [base[0] + shine, base[1] + shine, base[2] + shine]
  }
  const gain = 2 ** scene.stops
  const gains = [gain * scene.balance[0], gain, gain * scene.balance[1]] as const
  const linear = new Float32Array(3 * width * height)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let r = 0
      let g = 0
      let b = 0
      for (let s = 0; s < 4; s++) {
        const [wx, wy] = unlens(x + 0.25 + 0.5 * (s & 1), y + 0.25 + 0.5 * (s >> 1))
        const light = surface(wx, wy)
        // Crosstalk of a camera's own primaries.
        r += 0.82 * light[0] + 0.15 * light[1] + 0.03 * light[2]
        g += 0.1 * light[0] + 0.8 * light[1] + 0.1 * light[2]
        b += 0.02 * light[0] + 0.18 * light[1] + 0.8 * light[2]
      }
      const at = 3 * (y * width + x)
      linear[at] = (r / 4) * gains[0]
      linear[at + 1] = (g / 4) * gains[1]
      linear[at + 2] = (b / 4) * gains[2]
    }
  }
  const soft = scene.blur > 0 ? blurred(linear, width, height, scene.blur) : linear
  const normal = normalNumbers(scene.start)
  const data = new Uint16Array(soft.length)
  const curve = encode[scene.transfer]
  for (let i = 0; i < soft.length; i++)
    data[i] = Math.round(65535 * Math.max(0, Math.min(1, curve(soft[i]!) + scene.noise * normal())))
  const corners = [place(0, 0), place(1, 0), place(1, 1), place(0, 1)]
  return { frame: createFrame(width, height, data), corners }
}

/** Gaussian blur in two passes, edges repeated. */
function blurred(data: Float32Array, width: number, height: number, sigma: number): Float32Array {
  const half = Math.ceil(3 * sigma)
  const kernel = Array.from({ length: 2 * half + 1 }, (_, k) => Math.exp(-(((k - half) / sigma) ** 2) / 2))
  const sum = kernel.reduce((a, b) => a + b)
  const weights = Float64Array.from(kernel, (value) => value / sum)
  /** Along `count` pixels that lie `step` apart, on each of the lines that begin at `across` steps. */
  const pass = (from: Float32Array, count: number, step: number, lines: number, across: number) => {
    const out = new Float32Array(from.length)
    for (let line = 0; line < lines; line++)
      for (let i = 0; i < count; i++) {
        let [r, g, b] = [0, 0, 0]
        for (let k = -half; k <= half; k++) {
          const at = line * across + Math.max(0, Math.min(count - 1, i + k)) * step
          const weight = weights[k + half]!
          r = Math.fround(r + weight * from[at]!)
          g = Math.fround(g + weight * from[at + 1]!)
          b = Math.fround(b + weight * from[at + 2]!)
        }
        const to = line * across + i * step
        out[to] = r
        out[to + 1] = g
        out[to + 2] = b
      }
    return out
  }
  const along = pass(data, width, 3, height, 3 * width)
  return pass(along, height, 3 * width, width, 3)
}

/** Largest distance of a found corner from the true one, in patch pitches. */
export function cornerError(found: readonly Point[], { corners }: Rendered, chart: GridChart): number {
  const pitch =
    ((Math.hypot(corners[1]![0] - corners[0]![0], corners[1]![1] - corners[0]![1]) +
      Math.hypot(corners[2]![0] - corners[3]![0], corners[2]![1] - corners[3]![1])) /
      2) *
    chart.geometry.pitch[0]
  return Math.max(...corners.map(([x, y], k) => Math.hypot(found[k]![0] - x, found[k]![1] - y))) / pitch
}

export const easyScene = (chart: GridChart): FindScene => ({
  chart,
  width: 960,
  height: 540,
  size: 0.4,
  at: [0.5, 0.28],
  turn: 0,
  slant: 0,
  slantTo: 0,
  mirrored: false,
  stops: 0,
  balance: [1, 1],
  noise: 0.004,
  blur: 0.6,
  distortion: 0,
  backdrop: 'plain',
  board: 0.03,
  gaps: 1,
  glare: 0,
  transfer: 'bt709',
  start: 1,
})
