import {
  builtinChart,
  type Chart,
  IsochipError,
  type ModelKind,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { lightNames, sensorNames } from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { labSeenBy, viewing } from '../src/colour/viewing.ts'
import { identity3 } from '../src/linear/mat3.ts'
import { shotMatch } from '../src/match/shotMatch.ts'
import { misreading } from '../src/misread/misreading.ts'
import { type ChartLights, relabellings } from '../src/misread/relabellings.ts'
import { seededRandom } from '../src/random.ts'
import { targetFromReference } from '../src/target/target.ts'
import { exactTarget } from './support/exactTarget.ts'
import { type Device, lightsSeen, working } from './support/lightsSeen.ts'
import { readingsOf } from './support/readingsOf.ts'

// Measured sensors (Jiang et al. 2013) and CIE lights; the spectra of chart24 are measured (ISO 17321-1), those of quay48
// the smoothest that have its values.

const charts = ['chart24', 'quay48'].map(builtinChart)
const devices: readonly Device[] = [...sensorNames, 'observer']
const lab = labSeenBy(viewing(working, 'scene'))
const publishedOf = (chart: Chart) => {
  const { light } = targetFromReference(chart, 'D65', working)
  return chart.patches.map(({ name }) => light.get(name)!)
}

/** What a match says of the reading of its chart, if anything. */
function said(chart: Chart, source: ChartLights, target: ChartLights, model: ModelKind = 'lift-gain-matrix') {
  const names = chart.patches.map(({ name }) => name)
  const kept = (lights: ChartLights) => names.flatMap((_, i) => (lights[i] === undefined ? [] : [i]))
  const of = (lights: ChartLights) =>
    [kept(lights).map((i) => names[i]!), kept(lights).map((i) => lights[i]!)] as const
  try {
    // As a match warns of it (packages/core/test/shotMatch.test.ts), without the match's diagnosis.
    return shotMatch(
      {
        chart,
        readings: readingsOf(...of(source)),
        encoding: resolveEncoding('linear'),
        target: exactTarget(...of(target)),
        working,
      },
      { evenness: 'off', model },
    ).misread
  } catch (error) {
    if (!(error instanceof IsochipError)) throw error
    return error
  }
}

function task(chart: Chart, random: () => number) {
  const pick = <T>(list: readonly T[]) => list[Math.floor(random() * list.length)]!
  const from = pick(devices)
  const to = pick(devices.filter((device) => device !== from))
  // Exposure and white balance are off, and readings have digits of noise.
  const gains = [0, 1, 2].map(() => 2 ** (2 * random() - 1.5))
  const source = lightsSeen(chart, from, pick(lightNames)).map((light) =>
    light.map((value, c) => gains[c]! * value + 0.001 * (random() + random() - 1)),
  ) as unknown as Vec3[]
  return { source, target: lightsSeen(chart, to, pick(lightNames)), published: publishedOf(chart) }
}

describe('misread charts', () => {
  /** Each with two charts and three curves. */
  const right = wholeTask ? 100 : 30
  it(`a chart that was read right is never named: ${6 * right} tasks, whatever the curve, towards cameras and values`, () => {
    const random = seededRandom(1)
    const named: string[] = []
    for (let round = 0; round < right; round++) {
      for (const chart of charts) {
        const { source, target, published } = task(chart, random)
        // A curve that is not the declared one spoils a match, and is no misreading.
        const power = [1, 0.45, 2.2][round % 3]!
        const bent = source.map((light): Vec3 => {
          const [r, g, b] = light.map((value) => Math.max(value, 0) ** power) as [number, number, number]
          return [r, g, b]
        })
        const known = { chart, declared: identity3, published, lab }
        for (const found of [
          misreading({ ...known, source, target }),
          misreading({ ...known, source: bent, target }),
          misreading({ ...known, source: bent, target: published }),
        ])
          if (found !== undefined) named.push(`${chart.id} ${round}: ${found.words}`)
      }
    }
    expect(named).toEqual([])
  })

  it('places: every way is named, and whose chart it is, in a match to a camera and towards published values', () => {
    const random = seededRandom(2)
    for (const chart of charts) {
      for (const { words, read } of relabellings(chart)) {
        const { source, target, published } = task(chart, random)
        const own = said(chart, read(source), target)
        expect(own?.code, `${chart.id}: ${words}`).toBe('chart-misread')
        expect(own?.message).toContain(`the chart seems to have been read ${words}:`)
        const towardsValues = said(chart, read(source), published)
        expect(towardsValues?.code, `${chart.id}: ${words}, towards values`).toBe('chart-misread')
        expect(towardsValues?.message).toContain(words)
        const aim = said(chart, source, read(target))
        expect(aim?.code, `${chart.id}: ${words}, the target`).toBe('target-misread')
        expect(aim?.message).toContain(words)
      }
    }
  })

  it('channels: every exchange is named, whether the match is refused or passes', () => {
    const random = seededRandom(3)
    const orders: readonly (readonly [string, readonly [number, number, number]])[] = [
      ['with red and blue exchanged', [2, 1, 0]],
      ['with red and green exchanged', [1, 0, 2]],
      ['with green and blue exchanged', [0, 2, 1]],
      ['with the channels in the order blue, red, green', [2, 0, 1]],
      ['with the channels in the order green, blue, red', [1, 2, 0]],
    ]
    let unnamed = 0
    // Each goes through every exchange on both charts, with either model in turn.
    const rounds = wholeTask ? 8 : 2
    for (let round = 0; round < rounds; round++) {
      for (const chart of charts) {
        for (const [words, [r, g, b]] of orders) {
          const exchanged = (lights: readonly Vec3[]) =>
            lights.map((light): Vec3 => [light[r]!, light[g]!, light[b]!])
          const { source, target, published } = task(chart, random)
          const own = said(
            chart,
            exchanged(source),
            target,
            round % 2 === 0 ? 'lift-gain-matrix' : 'lift-gain',
          )
          const aim = said(chart, source, exchanged(target))
          const values = said(chart, exchanged(source), published)
          for (const [found, code] of [
            [own, 'chart-misread'],
            [aim, 'target-misread'],
            [values, 'chart-misread'],
          ] as const) {
            if (found?.code === code) expect(found.message, chart.id).toContain(words)
            else unnamed++
          }
        }
      }
    }
    expect(unnamed).toBe(0)
  })

  it('a chart without published values: it is this one or the target’s', () => {
    const [chart] = charts
    const { source, target } = task(chart!, seededRandom(4))
    const { reference: _, ...bare } = chart!
    const upsideDown = relabellings(chart!)[0]!
    const found = said(bare, upsideDown.read(source), target)
    expect(found?.code).toBe('chart-misread')
    expect(found?.message).toContain('this chart, or in the opposite way the target’s')
  })

  it('a grey scale: reversed it stands upside down; the same both ways round nothing is said', () => {
    const greys: Chart = {
      id: 'wedge',
      title: 'eleven greys',
      rows: 1,
      columns: 11,
      patches: Array.from({ length: 11 }, (_, i) => ({ name: `grey ${i}`, role: 'neutral' })),
      geometry: { pitch: [1 / 11.9 + 0.1 / 11.9, 1], patch: [0.9 / 10.9, 1], aspect: 11 },
    }
    const scale = greys.patches.map((_, i): Vec3 => {
      const light = 0.9 * 0.72 ** i
      return [light, light, light]
    })
    const off = (lights: readonly Vec3[]) =>
      lights.map(([r, g, b]): Vec3 => [0.8 * r + 0.01, g, 1.3 * b - 0.002])
    const levels = said(greys, off(scale).toReversed(), scale, 'lift-gain')
    expect(levels?.message).toContain('upside down')
    const crossed = greys.patches.map((_, i) => scale[Math.abs(i - 5)]!)
    expect(said(greys, off(crossed).toReversed(), crossed, 'lift-gain')).toBeUndefined()
  })
})
