import * as z from 'zod'
import { chartIdPattern } from '../chart/chartId.ts'
import { patchRoles } from '../chart/patchRoles.ts'
import { illuminantNames } from '../colour/illuminants.ts'
import { three } from './numbers.ts'

const pair = z.tuple([z.number(), z.number()])
const positive = z.number().positive()
const fraction = z.number().positive().max(1)
const fractions = z.tuple([fraction, fraction])
const date = z.string().regex(/^\d{4}-\d{2}-\d{2}$/)
const count = z.int().min(1).max(100)

const reference = z.strictObject({
  space: z
    .enum(['XYZ', 'xyY', 'Lab'])
    .describe('XYZ and xyY with Y = 1 for a perfect diffuser; Lab with L* 0…100'),
  illuminant: z.union([z.enum(illuminantNames), z.strictObject({ white: pair.describe('CIE x, y') })]),
  observer: z.union([z.literal(2), z.literal(10)]),
  source: z.string().exactOptional(),
})

const patch = {
  name: z.string().min(1),
  role: z
    .enum(patchRoles)
    .describe('a true-black is a light trap: no reflectance, no value, no colour to match')
    .exactOptional(),
  value: three(z.number()).exactOptional(),
  reflectance: z
    .array(z.number().min(-0.01).max(2))
    .min(2)
    .describe('spectral reflectance at the wavelengths, 1 for a perfect diffuser')
    .exactOptional(),
}

const region = z.union([
  z.strictObject({ polygon: z.array(pair).min(3).max(100) }),
  z.strictObject({ circle: z.strictObject({ centre: pair, radius: positive }) }),
])

const head = {
  isochip: z.literal('chart/1'),
  id: z.string().regex(chartIdPattern),
  title: z.string().exactOptional(),
}

const rest = {
  reference: reference.describe('what the values of the patches are relative to').exactOptional(),
  wavelengths: z
    .array(z.number().min(200).max(2500))
    .min(2)
    .describe('where the reflectances were measured: nm, ascending, from 400 or less to 700 or more')
    .exactOptional(),
  measured: date.describe('day when the values were measured').exactOptional(),
  replace_by: date.describe('day after which the chart is not to be trusted').exactOptional(),
}

/** Patches in a grid: the short form. */
export const gridChartFile = z.strictObject({
  ...head,
  rows: count,
  columns: count,
  patches: z.array(z.strictObject(patch)).describe('row by row from the first patch; rows × columns of them'),
  geometry: z
    .strictObject({
      pitch: fractions.describe('between centres of neighbours: across, down'),
      patch: fractions.describe('size of a patch: across, down'),
      aspect: positive.describe('width of the grid over its height'),
    })
    .describe('fractions of the grid between the outer edges of its outer patches'),
  ...rest,
})

/** Patches of any shape and size anywhere. */
export const regionChartFile = z.strictObject({
  ...head,
  regions: z
    .strictObject({
      size: z
        .tuple([positive, positive])
        .describe('width and height of the rectangle whose corners are the chart’s, in any unit'),
      landmarks: z
        .array(z.strictObject({ name: z.string().min(1), at: pair }))
        .describe('points that are marked on the chart, as where frame lines meet')
        .exactOptional(),
    })
    .describe('x to the right, y down from the upper left corner'),
  patches: z
    .array(z.strictObject({ ...patch, region }))
    .min(1)
    .max(1000),
  ...rest,
})

/** `chart/1`. `parseChart` checks more: counts, names, that the geometry adds up, that regions lie within the chart. */
export const chartFile = z.union([gridChartFile, regionChartFile]).meta({ title: 'isochip chart file' })
