import {
  controls,
  fitOptions,
  log,
  power,
  primaries,
  range,
  target,
  transferName,
} from '@isochip/core/shapes'
import { tolerance } from '@isochip/report/shapes'
import * as z from 'zod'
import { nodeKinds, outputFormats, ycbcrMatrices } from './show.ts'

/*
 * The show file as it is written, before defaults. What a schema can say stands here, since it is also published as
 * JSON Schema; what needs the whole file (names that occur twice, a target that does not exist) is in `checkShow`.
 */

const measured = z
  .literal('measured')
  .describe('The curve is not known: it is measured on the grey scale of the chart, in every setup anew.')

const transfer = z.union([
  transferName,
  power,
  log,
  z.strictObject({
    table: z.string().describe('Path of a 1D .cube or CLF file that linearises the recording.'),
  }),
])

const encodingBy = <T extends z.ZodType, N extends z.ZodType>(transfer: T, name: N) =>
  z
    .union([
      name,
      z.strictObject({ transfer, primaries: primaries.exactOptional(), range: range.exactOptional() }),
    ])
    .describe(
      'Transfer characteristic, primaries and range; a name alone has the primaries of its standard, full range.',
    )

const encoding = encodingBy(transfer, transferName)

const cameraEncoding = encodingBy(z.union([...transfer.options, measured]), z.union([transferName, measured]))

const corner = z.tuple([z.number(), z.number()])

const source = {
  frames: z
    .union([z.string(), z.array(z.string()).min(1)])
    .describe('Frames of the chart: paths or patterns, relative to this file. They are averaged.')
    .exactOptional(),
  readings: z.string().describe('CSV file of readings, relative to this file.').exactOptional(),
  corners: z
    .tuple([corner, corner, corner, corner])
    .describe(
      'Outer corners of the patch grid in pixels (x right, y down), clockwise from the corner of the first patch. Without them the chart is found.',
    )
    .exactOptional(),
  at: z
    .strictObject({
      seconds: z.number().nonnegative().describe('Seconds from the start.').exactOptional(),
      frame: z
        .int()
        .nonnegative()
        .describe('Number of the frame, from 0; not together with seconds.')
        .exactOptional(),
      count: z
        .int()
        .min(1)
        .max(64)
        .describe('Frames in a row, which are averaged; default 1.')
        .exactOptional(),
    })
    .describe('Where in a movie the chart stands; without it the first frame is taken.')
    .exactOptional(),
}

const shot = z.strictObject({
  setup: z.string().describe('One scene, lens and light for which the chart was shot.').exactOptional(),
  ...source,
  borrow: z
    .string()
    .describe('No chart was shot: take this camera’s match of another setup.')
    .exactOptional(),
})

const camera = z.strictObject({
  id: z.string(),
  encoding: cameraEncoding,
  ycbcr: z
    .strictObject({ matrix: z.enum(ycbcrMatrices).exactOptional(), range: range.exactOptional() })
    .describe('Matrix and range of the Y′CbCr of its clips, where their tags are missing or wrong.')
    .exactOptional(),
  controls: controls.exactOptional(),
  shots: z.array(shot).min(1).exactOptional(),
  ...source,
})

export const showSchema = z
  .strictObject({
    $schema: z.string().exactOptional(),
    isochip: z.literal(1).describe('Version of this format.'),
    title: z.string().exactOptional(),
    chart: z.string().min(1).describe('Id of a built-in chart, or path of a chart file.'),
    target,
    working: primaries.exactOptional(),
    fit: fitOptions.exactOptional(),
    output: z
      .strictObject({
        encoding: z.union([z.literal('target'), encoding]).exactOptional(),
        formats: z.array(z.enum(outputFormats)).min(1).exactOptional(),
        size: z
          .union([z.int().min(2).max(256), z.literal('auto')])
          .describe('Nodes along each axis of the lattice.')
          .exactOptional(),
        nodes: z
          .enum(nodeKinds)
          .describe(
            'Bounded: nodes stay within 0…1, for LUT boxes that store integers. Default float, for software.',
          )
          .exactOptional(),
        nodeBits: z
          .int()
          .min(8)
          .max(16)
          .describe('With bounded nodes: whole steps of so many bits, as the LUT box stores them.')
          .exactOptional(),
        pictures: z
          .boolean()
          .describe('Draw the sampled areas of each shot, and the frames on the pages? Default true.')
          .exactOptional(),
      })
      .exactOptional(),
    tolerance: z
      .strictObject({
        mean: tolerance.shape.mean.exactOptional(),
        max: tolerance.shape.max.exactOptional(),
      })
      .describe('ΔE00 up to which a match counts as good.')
      .exactOptional(),
    cameras: z.array(camera).min(1),
  })
  .meta({ title: 'isochip show file' })

export type ShowFile = z.output<typeof showSchema>
