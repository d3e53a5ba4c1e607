import type { ChartPatch, GridChart } from './chart.ts'
import type { PatchRole } from './patchRoles.ts'
import { reflectances24 } from './reflectances24.ts'

/**
 * Name, x, y, Y (0…1) under CIE illuminant C for the 2° observer, row by row: C. S. McCamy, H. Marcus,
 * J. G. Davidson, A color-rendition chart, J. Appl. Photogr. Eng. 2 (1976) 95–99.
 */
const patches: readonly (readonly [name: string, x: number, y: number, Y: number, role?: PatchRole])[] = [
  ['dark skin', 0.4002, 0.3504, 0.1005, 'skin'],
  ['light skin', 0.3773, 0.3446, 0.3582, 'skin'],
  ['blue sky', 0.247, 0.2514, 0.1933],
  ['foliage', 0.3372, 0.422, 0.1329],
  ['blue flower', 0.2651, 0.24, 0.2427],
  ['bluish green', 0.2608, 0.343, 0.4306],
  ['orange', 0.506, 0.407, 0.3005],
  ['purplish blue', 0.211, 0.175, 0.12],
  ['moderate red', 0.4533, 0.3058, 0.1977],
  ['purple', 0.2845, 0.202, 0.0656],
  ['yellow green', 0.38, 0.4887, 0.4429],
  ['orange yellow', 0.4729, 0.4375, 0.4306],
  ['blue', 0.1866, 0.1285, 0.0611, 'primary'],
  ['green', 0.3046, 0.4782, 0.2339, 'primary'],
  ['red', 0.5385, 0.3129, 0.12, 'primary'],
  ['yellow', 0.448, 0.4703, 0.591, 'secondary'],
  ['magenta', 0.3635, 0.2325, 0.1977, 'secondary'],
  ['cyan', 0.1958, 0.2519, 0.1977, 'secondary'],
  ['white 9.5', 0.3101, 0.3163, 0.9001, 'white'],
  ['neutral 8', 0.3101, 0.3163, 0.591, 'neutral'],
  ['neutral 6.5', 0.3101, 0.3163, 0.362, 'neutral'],
  ['neutral 5', 0.3101, 0.3163, 0.1977, 'neutral'],
  ['neutral 3.5', 0.3101, 0.3163, 0.09, 'neutral'],
  ['black 2', 0.3101, 0.3163, 0.0313, 'black'],
]

/** Of ISO 17321-1, in nm. */
const wavelengths = Array.from({ length: 36 }, (_, i) => 380 + 10 * i)

/**
 * The 24-patch colour-rendition chart with the values published in 1976 and the spectra of ISO 17321-1, which are those of
 * another specimen. A chart in use should be measured.
 */
export const chart24: GridChart = {
  id: 'chart24',
  title: '24-patch colour-rendition chart, values published in 1976',
  rows: 4,
  columns: 6,
  patches: patches.map(
    ([name, x, y, Y, role], p): ChartPatch => ({
      name,
      value: [x, y, Y],
      reflectance: wavelengths.map((_, i) => Number(reflectances24[p]!.slice(3 * i, 3 * i + 3)) / 1000),
      ...(role === undefined ? {} : { role }),
    }),
  ),
  reference: {
    space: 'xyY',
    illuminant: 'C',
    observer: 2,
    source: 'McCamy, Marcus, Davidson, J. Appl. Photogr. Eng. 2 (1976)',
  },
  wavelengths,
  geometry: { pitch: [20 / 117, 20 / 77], patch: [17 / 117, 17 / 77], aspect: 117 / 77 },
}
