import type { Chart } from '../chart/chart.ts'
import { type Primaries, primariesConversion } from '../colour/primaries.ts'
import { rgbToXyz65 } from '../colour/working.ts'
import { norm } from '../elementary/norm.ts'
import { type Encoding, resolveEncoding } from '../encoding/encoding.ts'
import { IsochipError, isIsochipError } from '../errors.ts'
import { apply3, type Vec3 } from '../linear/mat3.ts'
import { matchCamera } from '../match/matchCamera.ts'
import type { Readings } from '../readings.ts'
import { patchLights } from '../samples/patchLights.ts'
import type * as shape from '../shape/responses.ts'
import type { Shape } from '../shape/shape.ts'
import { targetFromReference } from '../target/target.ts'
import { bootstrapMatrix } from './bootstrapMatrix.ts'
import { linearMap } from './linearMap.ts'
import { principalAngles } from './principalAngles.ts'
import { sensitivityMetamerism } from './sensitivityMetamerism.ts'

export interface ResponseMap extends Shape<typeof shape.responseMap> {}
export interface ResponsePair extends Shape<typeof shape.responsePair> {}
export interface ObserverResponse extends Shape<typeof shape.observerResponse> {}
export interface ResponseComparison extends Shape<typeof shape.responseComparison> {}

/** Cameras that saw one chart in one light. */
export interface ResponsesInput {
  readonly chart: Chart
  readonly cameras: readonly {
    readonly name: string
    readonly readings: Readings
    readonly encoding: Encoding
  }[]
  /** The primaries in which what remains is looked at. */
  readonly working: Primaries
  /** As in `FitOptions`. */
  readonly clippedShare?: number
}

/** Name of the observer in `from` and `to`. */
const observerName = 'observer'
const fewest = 6

/** Whoever sees the chart: a camera, or the observer. */
interface Responder {
  readonly name: string
  /** Responses by patch, linear: what matrices are between. */
  readonly responses: ReadonlyMap<string, Vec3>
  /** The same as readings in an encoding, as a match takes them. */
  readonly readings: Readings
  readonly encoding: Encoding
}

/**
 * Compare the responses of cameras with each other and with the standard observer.
 *
 * @throws IsochipError `readings-invalid`, `patch-unknown`, `patch-doubled`, `usage`
 */
export function compareResponses(input: ResponsesInput): ResponseComparison {
  const cautions: string[] = []
  const cameras = input.cameras.map((camera) => responder(input, camera))
  const maps: ResponseMap[] = []
  const pairs: ResponsePair[] = []
  for (const [index, a] of cameras.entries()) {
    for (const b of cameras.slice(index + 1)) {
      const found = bothWays(input, a, b, cautions)
      if (found === undefined) continue
      maps.push(found.there, found.back)
      pairs.push({ a: a.name, b: b.name, principalAngles: found.principalAngles })
    }
  }
  const eye = observer(input)
  const against = cameras.flatMap((camera): ObserverResponse[] => {
    const found = eye && bothWays(input, camera, eye, cautions)
    if (found === undefined) return []
    const { there, back, principalAngles: angles } = found
    return [{ camera: camera.name, toObserver: there, fromObserver: back, principalAngles: angles }]
  })
  const metamerism = Object.fromEntries(
    cameras.flatMap(({ name, responses }) => {
      const found = eye && sensitivityMetamerism(input.chart, responses, eye.responses)
      return found === undefined ? [] : [[name, found]]
    }),
  )
  return { maps, pairs, observer: against, metamerism, cautions }
}

function responder(
  { chart, clippedShare }: ResponsesInput,
  { name, readings, encoding }: ResponsesInput['cameras'][number],
): Responder {
  const usable = patchLights(chart, readings, encoding, clippedShare).filter(
    ({ unusable }) => unusable === undefined,
  )
  return { name, responses: new Map(usable.map(({ patch, light }) => [patch, light])), readings, encoding }
}

/** The chart's reference values, where it has any. */
function observer({ chart, working }: ResponsesInput): Responder | undefined {
  const hasValues = chart.reference !== undefined && chart.patches.some(({ value }) => value !== undefined)
  if (!hasValues) return undefined
  const { light } = targetFromReference(chart, 'D65', working)
  const toXyz = rgbToXyz65(working)
  return {
    name: observerName,
    responses: new Map([...light].map(([patch, value]) => [patch, apply3(toXyz, value)])),
    readings: { patches: [...light].map(([patch, rgb]) => ({ patch, rgb })) },
    encoding: resolveEncoding({ transfer: 'linear', primaries: working }),
  }
}

function bothWays(input: ResponsesInput, a: Responder, b: Responder, cautions: string[]) {
  const names = input.chart.patches
    .map(({ name }) => name)
    .filter((name) => a.responses.has(name) && b.responses.has(name))
  if (names.length < fewest) {
    cautions.push(
      `${a.name} and ${b.name} have ${names.length} patches in common that serve, ${fewest} are needed`,
    )
    return undefined
  }
  try {
    const there = responseMap(input, a, b, names)
    const back = responseMap(input, b, a, names)
    const rows = ({ responses }: Responder) => names.map((name) => responses.get(name)!)
    return { there, back, principalAngles: principalAngles(rows(a), rows(b)) }
  } catch (cause) {
    if (!isIsochipError(cause)) throw cause
    cautions.push(`${a.name} and ${b.name}: ${cause.message}`)
    return undefined
  }
}

function responseMap(
  { chart, working, clippedShare }: ResponsesInput,
  from: Responder,
  to: Responder,
  names: readonly string[],
): ResponseMap {
  const a = names.map((name) => from.responses.get(name)!)
  const b = names.map((name) => to.responses.get(name)!)
  const { matrix, rank, condition } = linearMap(a, b)
  if (rank < 3)
    throw new IsochipError('rank-deficient', `the patches span ${rank} of the 3 dimensions of ${named(from)}`)
  const toWorking = primariesConversion(to.encoding.primaries, working)
  const lights = new Map(
    patchLights(chart, to.readings, to.encoding).map(({ patch, light }) => [patch, light]),
  )
  const target = {
    light: new Map(names.map((name) => [name, apply3(toWorking, lights.get(name)!)])),
    standardError: new Map(),
    excluded: new Map(),
    warnings: [],
  }
  // What the sensors see, whatever matches weigh and are looked at with: every patch alike, on scene light.
  const best = matchCamera(
    { chart, readings: from.readings, encoding: from.encoding, target, working },
    {
      model: 'matrix',
      objective: 'perceptual',
      view: 'scene',
      evenness: 'off',
      robust: false,
      ...(clippedShare === undefined ? {} : { clippedShare }),
    },
  )
  return {
    from: from.name,
    to: to.name,
    patches: names.length,
    matrix,
    interval: bootstrapMatrix(a, b),
    rank,
    condition,
    noiseAmplification: [norm(matrix[0]), norm(matrix[1]), norm(matrix[2])],
    remaining: best.summary.after,
  }
}

const named = ({ name }: Responder) => (name === observerName ? 'the observer' : `camera ${name}`)
