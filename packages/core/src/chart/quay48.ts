import { xyzFromLinear65 } from '../colour/working.ts'
import { srgb } from '../encoding/srgb.ts'
import type { Vec3 } from '../linear/mat3.ts'
import type { ChartPatch, GridChart } from './chart.ts'
import type { PatchRole } from './patchRoles.ts'

/**
 * Name, sRGB code values of the print file (hexadecimal, 8 bit), role; row by row.
 *
 * Rows 1 and 2: twelve hues whose R′G′B′ run in equal steps along the hexagon of primaries and secondaries (0.3 +
 * 0.4 · p with p in 0, ½, 1), so that on a vectorscope they are equally spaced dots; and four skins. Rows 3 and 4:
 * a crossed grey scale, light to dark and dark to light, each level twice, so that uneven light shows. Rows 5 and
 * 6: eight hues 45° apart in CIELAB, dark (L* 38, C* 22) and light (L* 82, C* 17).
 */
const patches: readonly (readonly [name: string, code: string, role?: PatchRole])[] = [
  ['red', 'b24c4c', 'primary'],
  ['orange', 'b2804c'],
  ['yellow', 'b2b24c', 'secondary'],
  ['lime', '80b24c'],
  ['green', '4cb24c', 'primary'],
  ['mint', '4cb280'],
  ['skin 1', 'e2b8a4', 'skin'],
  ['skin 2', 'c8957d', 'skin'],
  ['cyan', '4cb2b2', 'secondary'],
  ['azure', '4c80b2'],
  ['blue', '4c4cb2', 'primary'],
  ['violet', '804cb2'],
  ['magenta', 'b24cb2', 'secondary'],
  ['pink', 'b24c80'],
  ['skin 3', 'a27157', 'skin'],
  ['skin 4', '6a4837', 'skin'],
  ['grey 96 a', 'f3f3f3', 'white'],
  ['grey 85 a', 'd4d4d4', 'neutral'],
  ['grey 74 a', 'b6b6b6', 'neutral'],
  ['grey 62 a', '969696', 'neutral'],
  ['grey 50 a', '777777', 'neutral'],
  ['grey 38 a', '595959', 'neutral'],
  ['grey 26 a', '3e3e3e', 'neutral'],
  ['grey 14 a', '242424', 'black'],
  ['grey 14 b', '242424', 'black'],
  ['grey 26 b', '3e3e3e', 'neutral'],
  ['grey 38 b', '595959', 'neutral'],
  ['grey 50 b', '777777', 'neutral'],
  ['grey 62 b', '969696', 'neutral'],
  ['grey 74 b', 'b6b6b6', 'neutral'],
  ['grey 85 b', 'd4d4d4', 'neutral'],
  ['grey 96 b', 'f3f3f3', 'white'],
  ['deep rose', '7c4c54'],
  ['deep amber', '76513d'],
  ['deep straw', '605a36'],
  ['deep leaf', '416144'],
  ['deep teal', '21635f'],
  ['deep sky', '206176'],
  ['deep indigo', '4a597c'],
  ['deep plum', '6d506e'],
  ['pale rose', 'edc1c7'],
  ['pale amber', 'e8c5b2'],
  ['pale straw', 'd3cdad'],
  ['pale leaf', 'b8d3b9'],
  ['pale teal', 'a4d5d1'],
  ['pale sky', 'a8d2e5'],
  ['pale indigo', 'c1cbeb'],
  ['pale plum', 'dec4de'],
]

function value(code: string): Vec3 {
  const light = (at: number) => srgb.decode(Number.parseInt(code.slice(at, at + 2), 16) / 255, 0)
  return xyzFromLinear65([light(0), light(2), light(4)])
}

/**
 * A chart of our own, 8 × 6: sixteen neutrals and thirty-two colours that a good printer reaches. The values are
 * the aims of its print file; a print must be measured, and its values put into a chart file, before it may serve
 * as a reference. docs/charts.md says how.
 */
export const quay48: GridChart = {
  id: 'quay48',
  title: '48 patches with a crossed grey scale, aims of the print file',
  rows: 6,
  columns: 8,
  patches: patches.map(
    ([name, code, role]): ChartPatch => ({
      name,
      value: value(code),
      ...(role === undefined ? {} : { role }),
    }),
  ),
  reference: { space: 'XYZ', illuminant: 'D65', observer: 2, source: 'sRGB code values of the print file' },
  geometry: { pitch: [10 / 79, 10 / 59], patch: [9 / 79, 9 / 59], aspect: 79 / 59 },
}
