import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { dirname } from 'node:path'
import { given, IsochipError, type Place, type TransferTable } from '@isochip/core'
import { transferTableOf } from '@isochip/export'
import type { InputFile } from '@isochip/report'
import { fromShow, portable } from '../files/filePaths.ts'
import { unreadable } from '../files/unreadable.ts'
import { parseShow } from '../showFile/parseShow.ts'
import type { Show } from '../showFile/show.ts'
import { placed, planShow, type ShowPlan, tablePaths } from './planShow.ts'
import { readChart } from './readChartFile.ts'
import { readLight } from './readLight.ts'
import { parseLutFile } from './readLutFile.ts'

/** A show with the files at hand that it rests on as a whole: its chart and its transfer tables. Plain data: threads get it as it is. */
export interface LoadedShow {
  readonly plan: ShowPlan
  /** Folder from which the show's paths start. */
  readonly folder: string
  /** The show file itself, where there is one. */
  readonly file?: string
  readonly inputs: readonly InputFile[]
}

/**
 * Reads a show file and the chart and tables that it names.
 *
 * @param show path of a show file, or a show at hand
 * @param folder from which the paths of a show at hand start; default the working directory
 * @throws IsochipError `show-invalid`, `chart-unknown`, `chart-invalid`, `encoding-unknown`, `lut-syntax`
 */
export async function loadShow(show: string | Show, folder = '.'): Promise<LoadedShow> {
  const file = typeof show === 'string' ? show : undefined
  const parsed = typeof show === 'string' ? await parseShow(await readShowText(show), show) : show
  const base = file === undefined ? folder : dirname(file)
  const at = (path: string): Place => ({ ...given({ file }), ...parsed.places?.[path] })
  const inputs: InputFile[] = []
  const read = async (whole: string): Promise<Buffer> => {
    const bytes = await readFile(whole)
    inputs.push({ path: portable(base, whole), sha256: createHash('sha256').update(bytes).digest('hex') })
    return bytes
  }
  const chart = await readChart(parsed.chart, fromShow(base, parsed.chart), at('chart'), read)
  const tables = new Map<string, TransferTable>()
  for (const { path, at: where } of tablePaths(parsed)) {
    if (!tables.has(path)) tables.set(path, await loadTable(path, fromShow(base, path), at(where), read))
  }
  const { target } = parsed
  const light =
    'reference' in target
      ? await readLight(target.reference, fromShow(base, target.reference), at('target'), read)
      : undefined
  const plan = planShow(parsed, {
    chart,
    tables,
    ...(typeof light === 'object' ? { light } : {}),
    ...given({ file }),
  })
  return given({ plan, folder: base, inputs, file })
}

async function readShowText(path: string): Promise<string> {
  try {
    return await readFile(path, 'utf8')
  } catch (cause) {
    throw new IsochipError('show-invalid', unreadable(cause, 'a show file'), {
      hint:
        (cause as NodeJS.ErrnoException).code === 'EISDIR'
          ? 'give the path of a show file (YAML or JSON); isochip init proposes one for a folder of frames'
          : 'give the path of a show file (YAML or JSON)',
      place: { file: path },
      cause,
    })
  }
}

async function loadTable(
  path: string,
  whole: string,
  place: Place,
  read: (path: string) => Promise<Buffer>,
): Promise<TransferTable> {
  const bytes = await read(whole).catch((cause: NodeJS.ErrnoException) => {
    throw new IsochipError(
      'encoding-unknown',
      `the transfer table ${path} cannot be read: ${cause.code ?? cause.message}`,
      {
        hint: 'paths start at the folder of the show file',
        place,
        cause,
      },
    )
  })
  const file = parseLutFile(bytes, whole)
  if (file.kind === 'steps') return placed(place, () => transferTableOf(file.list))
  const { lut } = file
  if (lut.kind !== 'curve') {
    throw new IsochipError('encoding-unknown', `${path} is a 3D LUT, and no curve that could be inverted`, {
      hint: 'a transfer table is a 1D .cube or CLF file: code values in, linear light out',
      place,
    })
  }
  return placed(place, () => transferTableOf(lut))
}
