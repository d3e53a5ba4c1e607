import {
  apply3,
  decodeRgb,
  IsochipError,
  type Mat3,
  matchCamera,
  primariesConversion,
  resolvePrimaries,
  rgbToXyz,
  type Summary,
  targetFromReference,
  type Vec3,
} from '@isochip/core'
import type { SetupReadings } from '../match/matchSetup.ts'
import { isMeasured } from '../plan/measuredEncoding.ts'
import { knownEncoding, type ShowPlan } from '../plan/planShow.ts'
import { bootstrapMatrix, linearMap, type MatrixInterval } from './bootstrapMatrix.ts'
import { principalAngles } from './principalAngles.ts'
import { type SensitivityMetamerism, sensitivityMetamerism } from './sensitivityMetamerism.ts'

/** What takes one camera's responses to another's, and what nothing linear does. */
export interface ResponseMap {
  readonly from: string
  readonly to: string
  /** Patches that clip in neither. */
  readonly patches: number
  /** Least squares in linear light, each camera in its own primaries: to ≈ matrix · from. */
  readonly matrix: Mat3
  /** 95 %, by drawing the patches anew 500 times. */
  readonly interval: MatrixInterval
  readonly rank: number
  readonly condition: number
  /** Root mean square of the noise in the output's channels over that of the input: the row norms of the matrix. */
  readonly noiseAmplification: Vec3
  /** ΔE00 (scene light) that is left by the matrix with the least ΣΔE00²: no linear map does better in that. */
  readonly remaining: Summary
}

export interface ResponsePair {
  readonly a: string
  readonly b: string
  /** Between the spaces of the responses, in degrees. All zero: the cameras are one but for a matrix. */
  readonly principalAngles: readonly number[]
}

export interface SetupComparison {
  readonly setup: string
  readonly maps: readonly ResponseMap[]
  readonly pairs: readonly ResponsePair[]
  /** By camera; absent where the chart has no reference values. */
  readonly metamerism: Readonly<Record<string, SensitivityMetamerism>>
  /** Pairs that could not be compared, and why. */
  readonly cautions: readonly string[]
}

const bt709 = resolvePrimaries('bt709')

/** Compares the responses of a setup's cameras with each other and with the standard observer. Pure. */
export function compareReadings(
  plan: ShowPlan,
  setup: string,
  all: readonly SetupReadings[],
): SetupComparison {
  const { chart, show } = plan
  const shots = all.filter(({ camera }) => !isMeasured(plan.encodings.get(camera)!))
  const limit = show.fit.clippedShare ?? 0.01
  const lights = new Map(
    shots.map(({ camera, readings }) => {
      const encoding = knownEncoding(plan.encodings, camera)
      const usable = readings.patches.filter(({ clipped = 0 }) => clipped <= limit)
      return [camera, new Map(usable.map(({ patch, rgb }) => [patch, decodeRgb(encoding, rgb)]))] as const
    }),
  )
  const maps: ResponseMap[] = []
  const pairs: ResponsePair[] = []
  const cautions = all
    .filter(({ camera }) => isMeasured(plan.encodings.get(camera)!))
    .map(({ camera }) => `${camera} is left out: without its curve nothing is known of its responses`)
  for (const [index, a] of shots.entries()) {
    for (const b of shots.slice(index + 1)) {
      const [la, lb] = [lights.get(a.camera)!, lights.get(b.camera)!]
      const names = chart.patches.map(({ name }) => name).filter((name) => la.has(name) && lb.has(name))
      if (names.length < 6) {
        cautions.push(
          `${a.camera} and ${b.camera} have ${names.length} patches in common that do not clip, 6 are needed`,
        )
        continue
      }
      const [va, vb] = [names.map((name) => la.get(name)!), names.map((name) => lb.get(name)!)]
      try {
        maps.push(responseMap(plan, a, b, names, va, vb), responseMap(plan, b, a, names, vb, va))
        pairs.push({ a: a.camera, b: b.camera, principalAngles: principalAngles(va, vb) })
      } catch (cause) {
        if (!(cause instanceof IsochipError)) throw cause
        cautions.push(`${a.camera} and ${b.camera}: ${cause.message}`)
      }
    }
  }
  const hasValues = chart.reference !== undefined && chart.patches.some(({ value }) => value !== undefined)
  const toXyz = rgbToXyz(bt709)
  const xyz = hasValues
    ? new Map(
        [...targetFromReference(chart, 'D65', bt709).light].map(([name, v]) => [name, apply3(toXyz, v)]),
      )
    : undefined
  const metamerism = Object.fromEntries(
    shots.flatMap(({ camera }) => {
      const found = xyz && sensitivityMetamerism(chart, lights.get(camera)!, xyz)
      return found === undefined ? [] : [[camera, found]]
    }),
  )
  return { setup, maps, pairs, metamerism, cautions }
}

function responseMap(
  plan: ShowPlan,
  from: SetupReadings,
  to: SetupReadings,
  names: readonly string[],
  a: readonly Vec3[],
  b: readonly Vec3[],
): ResponseMap {
  const { chart, working, encodings } = plan
  const encoding = knownEncoding(encodings, from.camera)
  const { matrix, rank, condition } = linearMap(a, b)
  if (rank < 3) {
    throw new IsochipError(
      'rank-deficient',
      `the patches span ${rank} of the 3 dimensions of camera ${from.camera}`,
    )
  }
  const toWorking = primariesConversion(encodings.get(to.camera)!.primaries, working)
  const light = new Map(names.map((name, i) => [name, apply3(toWorking, b[i]!)]))
  const target = { light, standardError: new Map(), excluded: new Map(), warnings: [] }
  const best = matchCamera(
    { chart, readings: from.readings, encoding, target, working },
    { ...plan.show.fit, model: 'matrix', objective: 'perceptual', evenness: 'off', robust: false },
  )
  const norm = (row: Vec3) => Math.hypot(...row)
  return {
    from: from.camera,
    to: to.camera,
    patches: names.length,
    matrix,
    interval: bootstrapMatrix(a, b),
    rank,
    condition,
    noiseAmplification: [norm(matrix[0]), norm(matrix[1]), norm(matrix[2])],
    remaining: best.summary.after,
  }
}
