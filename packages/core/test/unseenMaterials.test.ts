import {
  adaptation,
  apply3,
  applyModel,
  builtinChart,
  deltaE00,
  fitPatches,
  labOfLinear,
  type MatchModel,
  multiply3,
  resolvePrimaries,
  type Vec3,
  xyzToRgb,
} from '@isochip/core'
import {
  lightPower,
  patchReflectances,
  type SensorName,
  type Spectrum,
  sensorNames,
  sensorResponse,
  xyzOf,
} from '@isochip/synthetic'
import { describe, expect, it } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { seededRandom } from '../src/random.ts'
import { smoothFamilies } from './support/smoothFamilies.ts'

// Measured sensors (Jiang et al. 2013), the 24 reflectances of ISO 17321-1 and CIE illuminants make the fits; smooth
// reflectances that are on no chart, of six kinds, judge them. The figures are those of docs/decisions/0008.
const chart = builtinChart('chart24')
const working = resolvePrimaries('bt709')
const lab = labOfLinear(working)
type Spectra = readonly Spectrum[]
const patches = patchReflectances(chart)
const lightNames = ['D65', 'A', 'FL11', 'LED-B3'] as const
type LightName = (typeof lightNames)[number]

function lights(device: SensorName | 'observer', light: LightName, of: Spectra): Vec3[] {
  const power = lightPower(light)
  if (device !== 'observer') return of.map((reflectance) => sensorResponse(device, power, reflectance))
  const [x, y, z] = xyzOf(power)
  const sum = x + y + z
  const toWorking = multiply3(xyzToRgb(working), adaptation([x / sum, y / sum], working.white, 'cat16'))
  return of.map((reflectance) => apply3(toWorking, xyzOf(power, reflectance)))
}

const judge = (model: MatchModel, from: readonly Vec3[], to: readonly Vec3[]) =>
  from.reduce((sum, light, i) => sum + deltaE00(lab(applyModel(model, light)), lab(to[i]!)), 0) / from.length

interface Task {
  readonly name: string
  readonly light: LightName
  readonly from: SensorName
  readonly to: SensorName | 'observer'
  readonly plain: MatchModel
}

/** Towards the observer and another camera; each of them in every other light where not all are asked for. */
const aimsOf = (i: number, l: number): readonly Task['to'][] => {
  const both = ['observer', sensorNames[(i + 3) % 8]!] as const
  return wholeTask ? both : [both[(i + l) % 2]!]
}

const tasks: Task[] = lightNames.flatMap((light, l) =>
  sensorNames.flatMap((from, i) =>
    aimsOf(i, l).map((to): Task => {
      const source = lights(from, light, patches)
      const target = lights(to, light, patches)
      return {
        name: `${light}: ${from} to ${to}`,
        light,
        from,
        to,
        plain: fitPatches(source, target).model,
      }
    }),
  ),
)

/** Mean ΔE00 of the family's reflectances in one task. */
interface Judged {
  readonly task: Task
  readonly plain: number
  /** A 3×3 matrix fitted to these very reflectances by least squares in linear light. */
  readonly own: number
  /** `lift-gain-matrix` fitted to them: the least ΔE00 that one leaves, near enough. */
  readonly least: number
  /** `lift-gain-matrix` fitted to 24 others of the family, instead of the chart. */
  readonly few: number
}

function judgeOn(unseen: Spectra, others: Spectra): Judged[] {
  return tasks.map((task) => {
    const { light, from, to } = task
    const source = lights(from, light, unseen)
    const target = lights(to, light, unseen)
    const by = (model: MatchModel) => judge(model, source, target)
    return {
      task,
      plain: by(task.plain),
      own: by(fitPatches(source, target, { model: 'matrix', objective: 'linear' }).model),
      least: by(fitPatches(source, target).model),
      few: by(fitPatches(lights(from, light, others), lights(to, light, others)).model),
    }
  })
}

const count = 120
const judged = new Map(
  Object.entries(smoothFamilies).map(([family, make]) => [family, judgeOn(make(11, count), make(12, 24))]),
)
/** All kinds together as one set, of other draws. */
const mixed = judgeOn(
  Object.values(smoothFamilies).flatMap((make) => make(901, 60)),
  Object.values(smoothFamilies).flatMap((make) => make(902, 4)),
)
const families = [...judged]
const everything = families.flatMap(([family, list]) => list.map((of) => ({ ...of, family })))
const mean = (list: readonly Judged[], of: (judged: Judged) => number) =>
  list.reduce((sum, task) => sum + of(task), 0) / list.length

describe('lift-gain-matrix on materials that were not on the chart', () => {
  const ratio = (family: string, against: (judged: Judged) => number) =>
    mean(judged.get(family)!, ({ plain }) => plain) / mean(judged.get(family)!, against)

  it('is within 5 % of a matrix fitted to materials of all kinds, in closed form', () => {
    expect(mean(mixed, ({ plain, own }) => plain / own)).toBeLessThan(1.05)
    expect(mean(mixed, ({ plain }) => plain) / mean(mixed, ({ own }) => own)).toBeLessThan(1.05)
  })

  it('is within 5 % of a matrix fitted to the materials of a picture, in closed form', () => {
    expect(ratio('materials', ({ own }) => own)).toBeLessThan(1.05)
    expect(ratio('waves', ({ own }) => own)).toBeLessThan(1.05)
  })

  // What separates a fit on the chart from one on the materials is which materials they are, and no fit knows that.
  it('is no worse, over all, than one fitted to 24 of the materials themselves', () => {
    expect(mean(everything, ({ plain }) => plain) / mean(everything, ({ few }) => few)).toBeLessThan(1)
  })

  it('which is a tenth and more above one fitted to all of them', () => {
    expect(mean(everything, ({ few }) => few) / mean(everything, ({ least }) => least)).toBeGreaterThan(1.1)
    expect(mean(everything, ({ plain }) => plain) / mean(everything, ({ least }) => least)).toBeLessThan(1.2)
  })
})

describe('the third degree with 24 patches', () => {
  it('overfits readings with a little noise where it is fitted to them alone', () => {
    const random = seededRandom(5)
    const shake = ([r, g, b]: Vec3): Vec3 => {
      const by = () => 0.004 * (2 * random() - 1)
      return [r + by(), g + by(), b + by()]
    }
    const unseen = smoothFamilies.materials!(11, 180)
    let cubic = 0
    let plain = 0
    for (const [i, sensor] of sensorNames.entries()) {
      const to = sensorNames[(i + 3) % 8]!
      const source = lights(sensor, 'D65', patches).map(shake)
      const target = lights(to, 'D65', patches)
      const from = lights(sensor, 'D65', unseen)
      const into = lights(to, 'D65', unseen)
      cubic += judge(fitPatches(source, target, { model: 'root-polynomial-3' }).model, from, into)
      plain += judge(fitPatches(source, target).model, from, into)
    }
    // Known of the third degree on charts of this size: Finlayson, Mackiewicz, Hurlbert 2015 use larger ones for it.
    expect(cubic).toBeGreaterThan(1.3 * plain)
  })
})
