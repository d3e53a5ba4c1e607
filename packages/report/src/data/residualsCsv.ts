import type { PatchResult, Stages, Vec3 } from '@isochip/core'
import { type PatchLight, patchLights } from '../patchLights.ts'
import type { CameraReport, ShowReport } from '../showReport.ts'
import { csvText } from './csvText.ts'

/** A patch of the reference camera has no residuals. */
type Row = PatchLight & Partial<PatchResult>

type Column = readonly [
  header: string,
  cell: (camera: CameraReport, patch: Row) => string | number | undefined,
]

const triple = (name: string, of: (patch: Row) => Vec3): Column[] =>
  (['r', 'g', 'b'] as const).map((channel, i) => [`${name}_${channel}`, (_, patch) => of(patch)[i]!])

const balancedAndRest = (name: string, of: (patch: Row) => Stages | undefined): Column[] =>
  (['before', 'after', 'balanced'] as const).map((stage) => [
    `${name}_${stage}`,
    (_, patch) => of(patch)?.[stage],
  ])

const columns: readonly Column[] = [
  ['setup', (camera) => camera.setup],
  ['camera', (camera) => camera.camera],
  ['patch', (_, patch) => patch.patch],
  ...balancedAndRest('dE00', (patch) => patch.dE00),
  ['dE00_leave_one_out', (_, patch) => patch.leaveOneOut],
  ...balancedAndRest('dE76', (patch) => patch.dE76),
  ...balancedAndRest('dEITP', (patch) => patch.dEITP),
  ['weight', (_, patch) => patch.weight],
  ['excluded', (_, patch) => patch.excluded],
  ...triple('source', (patch) => patch.source),
  ...triple('target', (patch) => patch.target),
  ...triple('matched', (patch) => patch.matched),
]

/**
 * One row per patch, camera and setup; RFC 4180 (CRLF, quotes where needed), UTF-8.
 *
 *     setup,camera,patch,dE00_before,dE00_after,dE00_balanced,…
 *     day,cross,dark skin,9.412345,0.5312345,3.201234,…
 *
 * Light is linear, in the working primaries. An empty cell is a figure that does not exist; the reference
 * camera has light alone. Names stand as they
 * are: scripts join on them. Columns are only ever added at the end.
 */
export function residualsCsv(report: ShowReport): string {
  const rows = report.setups.flatMap(({ cameras }) =>
    cameras.flatMap((camera) =>
      patchLights(camera.match).map((patch) => columns.map(([, of]) => of(camera, patch))),
    ),
  )
  return csvText([columns.map(([header]) => header), ...rows])
}
