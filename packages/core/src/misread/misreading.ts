import type { Chart } from '../chart/chart.ts'
import type { Lab65 } from '../colour/lab.ts'
import { hypot } from '../elementary/hypot.ts'
import { apply3, invert3, type Mat3, multiply3, type Vec3 } from '../linear/mat3.ts'
import { type AffineQuality, affineQuality } from './affineQuality.ts'
import { channelOrder } from './channelOrder.ts'
import { type ChartLights, type Relabelling, relabellings } from './relabellings.ts'

/** A chart that was not read as it stands in the frame. */
export interface Misreading {
  /** Whose readings: the camera's, the target's, or one of the two, where nothing tells which. */
  readonly of: 'camera' | 'target' | 'either'
  /** The end of a sentence that begins with "the chart seems to have been read". */
  readonly words: string
  /** The best match by lift, gain and matrix leaves this mean ΔE00 with the patches and channels as read … */
  readonly asRead: number
  /** … and this with those so understood. */
  readonly soRead: number
}

export interface MisreadInput {
  readonly chart: Chart
  /** Linear light by patch, in the chart's order: in the camera's primaries, and in the working ones. */
  readonly source: ChartLights
  readonly target: ChartLights
  /** The camera's primaries → the working ones, as declared. */
  readonly declared: Mat3
  /** The chart's published values in the working primaries. They tell whose chart was misread. */
  readonly published?: ChartLights | undefined
  readonly lab: (light: Vec3) => Lab65
}

/**
 * Scatter in ΔE00 up to which patches can have been read in their right places. Measured: between any two of the eight
 * sensors of Jiang et al. 2013 and the 2° observer, each in any of eight CIE lights, a chart that is read right leaves
 * 4.0 at most, one that is not 9 at least and 16 as a rule (test/gallery/judgeDiagnosis.ts).
 */
const readRight = 8
/** Patches in their right places leave this share at most of what they leave in the wrong ones … */
const clearly = 0.45
/** … and every other way to understand them leaves this much more. */
const apart = 1.6
/** Below this nobody sees a difference, and it tells nothing. */
const unseen = 0.1
/** What channels in their right order gain by lift and gain alone, at least; a matrix could do as well without. */
const gained = 1.3

/** The one way of misreading a chart that explains why patches do not fit; `undefined` where none does, or several do. */
export function misreading(input: MisreadInput): Misreading | undefined {
  const asRead = affineQuality(input.source, input.target, input.lab)
  if (asRead === undefined) return undefined
  return (
    (asRead.scatter <= readRight ? exchangedChannels(input, asRead) : undefined) ?? misplaced(input, asRead)
  )
}

/** Exchanged channels are what a matrix undoes: all patches fit, and the matrix tells. */
function exchangedChannels(input: MisreadInput, asRead: AffineQuality): Misreading | undefined {
  const { source, target, declared, published, lab } = input
  const back = invert3(declared)
  const found = back && channelOrder(multiply3(back, asRead.matrix))
  if (found === undefined) return undefined
  const convert = (lights: ChartLights) => lights.map((light) => light && apply3(declared, light))
  const ordered = source.map((light): Vec3 | undefined => {
    const [r, g, b] = found.order
    return light && [light[r], light[g], light[b]]
  })
  const levels = (from: ChartLights) => affineQuality(from, target, lab, true)?.mean
  const [before, after] = [levels(convert(source)), levels(convert(ordered))]
  if (before === undefined || after === undefined) return undefined
  // Where the sense of colours is kept, it might be a match after all: without the exchange it must be a poor one.
  if (asRead.proper && after > before / gained) return undefined
  const towards = (lights: ChartLights, conversion?: Mat3) => {
    const quality = published && affineQuality(lights, published, lab)
    if (quality === undefined || quality.scatter > readRight) return 'unknown'
    return channelOrder(conversion ? multiply3(conversion, quality.matrix) : quality.matrix) ?? 'straight'
  }
  const [own, aim] = [towards(source, back), towards(target)]
  const figures = { asRead: before, soRead: after }
  if (aim === 'straight') return { of: 'camera', words: found.words, ...figures }
  if (own === 'straight' && typeof aim === 'object') return { of: 'target', words: aim.words, ...figures }
  return { of: 'either', words: found.words, ...figures }
}

interface Understanding extends AffineQuality {
  readonly of: 'camera' | 'target'
  readonly relabelling: Relabelling
}

function misplaced({ chart, ...input }: MisreadInput, asRead: AffineQuality): Misreading | undefined {
  const { target, published, lab } = input
  const source = input.source.map((light) => light && apply3(input.declared, light))
  const ways = relabellings(chart)
    .flatMap((relabelling): Understanding[] => {
      const camera = affineQuality(source, relabelling.read(target), lab)
      const other = affineQuality(relabelling.read(source), target, lab)
      return [
        ...(camera === undefined ? [] : [{ of: 'camera' as const, relabelling, ...camera }]),
        ...(other === undefined ? [] : [{ of: 'target' as const, relabelling, ...other }]),
      ]
    })
    .filter(({ proper }) => proper)
  const least = Math.min(...ways.map(({ scatter }) => scatter))
  const most = asRead.proper ? Math.min(readRight, clearly * asRead.scatter) : readRight
  if (!(least < most)) return undefined
  const fitting = ways.filter(({ scatter }) => scatter < apart * least + unseen)
  const [own, aim] = (['camera', 'target'] as const).map((who) => fitting.filter(({ of }) => of === who))
  const of = published === undefined ? 'either' : misreadOne(source, target, published, fitting, lab)
  const named = of === 'target' ? aim! : own!
  if (named.length !== 1) return undefined
  const [{ relabelling, mean }] = named as [Understanding]
  return { of, words: relabelling.words, asRead: asRead.mean, soRead: mean }
}

/** Whose chart fits its published values only when understood so. */
function misreadOne(
  source: ChartLights,
  target: ChartLights,
  published: ChartLights,
  fitting: readonly Understanding[],
  lab: MisreadInput['lab'],
): Misreading['of'] {
  const off = (lights: ChartLights, values: ChartLights) => {
    const quality = affineQuality(lights, values, lab)
    return quality?.proper ? quality.scatter : Number.POSITIVE_INFINITY
  }
  const plain = { camera: off(source, published), target: off(target, published) }
  const least = (who: 'camera' | 'target') => {
    const [lights, other] = who === 'camera' ? [source, plain.target] : [target, plain.camera]
    return Math.min(
      ...fitting
        .filter(({ of }) => of === who)
        .map(({ relabelling }) => hypot(off(lights, relabelling.read(published)), other)),
    )
  }
  const [camera, aim] = [least('camera'), least('target')]
  if (camera < clearly * aim) return 'camera'
  return aim < clearly * camera ? 'target' : 'either'
}
