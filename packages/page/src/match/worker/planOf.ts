import { builtinChart, builtinCharts, type Chart, IsochipError, type TransferTable } from '@isochip/core'
import { readClf, readCube, transferTableOf } from '@isochip/export'
import { parseChart } from '@isochip/frames'
import {
  type CameraEncoding,
  cameraEncoding,
  parseShow,
  planShow,
  type ShowEncoding,
  type ShowPlan,
  tablePaths,
} from '@isochip/show'
import type { ShowParts } from '../messages.ts'

/** A show with all that it names resolved. @throws IsochipError as `parseShow` and `planShow` do */
export async function planOf({ show: content, files }: ShowParts): Promise<ShowPlan> {
  const show = await parseShow(content)
  const chart = await chartOf(show.chart, files)
  const tables = new Map<string, TransferTable>()
  for (const { path } of tablePaths(show)) tables.set(path, await tableOf(path, files))
  return planShow(show, { chart, tables })
}

/** The encoding of a camera by itself, with its curve file where it has one. @throws IsochipError */
export async function encodingOf(encoding: ShowEncoding, files: ShowParts['files']): Promise<CameraEncoding> {
  const { transfer } = typeof encoding === 'string' ? { transfer: encoding } : encoding
  if (typeof transfer === 'string' || !('table' in transfer)) return cameraEncoding(encoding)
  return cameraEncoding(encoding, new Map([[transfer.table, await tableOf(transfer.table, files)]]))
}

/** A built-in chart, or one of a file that is at hand. @throws IsochipError */
export async function chartOf(name: string, files: ShowParts['files']): Promise<Chart> {
  if (builtinCharts.some(({ id }) => id === name)) return builtinChart(name)
  return parseChart(await fileOf(name, files).text(), name)
}

function fileOf(name: string, files: ShowParts['files']): Blob {
  const file = files[name]
  if (file !== undefined) return file
  throw new IsochipError('show-invalid', `the show names the file ${name}, which is not here`, {
    hint: 'drop it together with the show file',
  })
}

async function tableOf(name: string, files: ShowParts['files']): Promise<TransferTable> {
  const bytes = new Uint8Array(await fileOf(name, files).arrayBuffer())
  const start = new TextDecoder().decode(bytes.subarray(0, 64)).trimStart()
  if (start.startsWith('<')) return transferTableOf(readClf(bytes, { file: name }).list)
  const { lut } = readCube(bytes, { file: name })
  if (lut.kind === 'curve') return transferTableOf(lut)
  throw new IsochipError('encoding-unknown', `${name} is a 3D LUT, and no curve that could be inverted`, {
    hint: 'a curve is a 1D .cube or Common LUT Format file: code values in, linear light out',
  })
}
