import { readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import {
  deltaE00,
  type Encoding,
  IsochipError,
  labOfLinear,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
  type Warning,
} from '@isochip/core'
import { matchTransform } from '@isochip/export'
import type { ShowPlan } from '../load/planShow.ts'
import { lutFunction, readLutFile } from '../load/readLutFile.ts'
import { beyondLut } from '../lut/beyondLut.ts'
import type { MatchFile } from '../matchFile/matchFile.ts'
import { parseMatchFile } from '../matchFile/parseMatchFile.ts'
import { lutEndings, lutFormats } from '../showFile/show.ts'
import { matchLights } from './matchLights.ts'
import { throughLut } from './throughLut.ts'

/** A LUT with what is known of its making. */
export interface HeldLut {
  /** Relative to the folder of the LUTs. */
  readonly name: string
  /** Code values as fractions of the full range, in and out. */
  readonly apply: (code: Vec3) => Vec3
  readonly output: Encoding
  readonly match?: MatchFile
  /** The match file, relative to the folder of the LUTs. */
  readonly matchName?: string
  readonly warnings: readonly Warning[]
}

/** Mean ΔE00 over the patches from which two LUTs are not the same: more than interpolation makes of one. */
const notTheSame = 0.5

/**
 * The LUT of a camera: `SETUP/CAMERA.cube` or `.clf`; otherwise `CAMERA.cube` or `.clf` in the folder itself, for all
 * setups. Where both formats are there, it is the one that the match file beside them makes, or that the show asks for.
 *
 * @param shot readings and range of the camera now: by these colours LUTs are told apart
 * @returns undefined where there is none
 * @throws IsochipError `lut-syntax`, `lut-limits`, `match-invalid`
 */
export async function findLut(
  folder: string,
  setup: string,
  camera: string,
  plan: ShowPlan,
  shot: { readonly readings: Readings; readonly range: 'full' | 'narrow'; readonly bits: number },
): Promise<HeldLut | undefined> {
  const found = await lutNames(folder, setup, camera)
  if (found === undefined) return undefined
  const text = await readFile(join(folder, found.matchName), 'utf8').catch(() => undefined)
  const match = text === undefined ? undefined : await parseMatchFile(text, join(folder, found.matchName))
  const output = match === undefined ? plan.output : resolveEncoding(match.outputEncoding)
  const luts: Candidate[] = []
  for (const name of inOrder(found.names, plan)) {
    const apply = lutFunction(await readLutFile(join(folder, name)))
    luts.push({ name, apply, offMatch: match === undefined ? undefined : offMatch(apply, match) })
  }
  const best = luts.reduce((a, b) => ((b.offMatch ?? 0) < (a.offMatch ?? 0) ? b : a))
  const place = { camera, setup }
  const warnings: Warning[] = []
  for (const other of luts) {
    if (other === best) continue
    const apart = between(best.apply, other.apply, output, plan, shot)
    if (apart <= notTheSame) continue
    warnings.push({
      code: 'luts-differ',
      message:
        `${best.name} and ${other.name} are not the same LUT (mean ΔE00 ${apart.toFixed(2)} over the patches): ` +
        `${best.name} is judged, ${match === undefined ? 'as the format that the show asks for' : 'which is what the match file makes'}`,
      place,
    })
  }
  if (best.offMatch !== undefined && best.offMatch > notTheSame) {
    warnings.push({
      code: 'lut-not-of-match',
      message: `${best.name} is not what its match file makes (mean ΔE00 ${best.offMatch.toFixed(2)} over the patches): it is from another run, has a look after it, or was changed`,
      place,
    })
  }
  const { readings, range, bits } = shot
  const beyond = formatOf(best.name) !== 'clf' ? beyondLut(readings.patches, { range }, bits) : undefined
  if (beyond !== undefined) warnings.push({ ...beyond, place })
  return {
    name: best.name,
    apply: best.apply,
    output,
    ...(match === undefined ? {} : { match, matchName: found.matchName }),
    warnings,
  }
}

/** What is said where a LUT is wanted and there is none. */
export const noLut = (folder: string, setup: string, camera: string): IsochipError =>
  new IsochipError('lut-syntax', `there is no LUT ${join(folder, setup, `${camera}.cube`)}, nor .clf`, {
    hint: 'LUTs are looked for as SETUP/CAMERA.cube or CAMERA.cube in the folder of the LUTs',
  })

interface Candidate {
  readonly name: string
  readonly apply: (code: Vec3) => Vec3
  readonly offMatch: number | undefined
}

async function lutNames(folder: string, setup: string, camera: string) {
  for (const within of [`${setup}/`, '']) {
    const files = await readdir(join(folder, within), { withFileTypes: true }).catch(() => [])
    const names = files.flatMap((file) => {
      const ending = file.name.startsWith(camera) ? file.name.slice(camera.length).toLowerCase() : undefined
      const isLut = lutFormats.some((format) => lutEndings[format] === ending)
      return isLut && !file.isDirectory() ? [`${within}${file.name}`] : []
    })
    if (names.length > 0) return { names, matchName: `${within}${camera}.match.json` }
  }
  return undefined
}

/** The format with the longest ending that fits. */
const formatOf = (name: string) =>
  [...lutFormats].reverse().find((format) => name.toLowerCase().endsWith(lutEndings[format]))

/** As the show asks for the formats; the rest by name. */
function inOrder(names: readonly string[], { show }: ShowPlan): readonly string[] {
  const rank = (name: string) => {
    const format = formatOf(name)
    const at = format === undefined ? -1 : show.output.formats.indexOf(format)
    return at < 0 ? show.output.formats.length : at
  }
  return [...names].sort((a, b) => rank(a) - rank(b) || (a < b ? -1 : 1))
}

/**
 * Mean ΔE00 between what a LUT makes of the chart of then and what its match makes of it, both as far as codes go: what
 * lies beyond them no lattice takes in or gives out.
 */
function offMatch(apply: (code: Vec3) => Vec3, match: MatchFile): number {
  const working = resolvePrimaries(match.working)
  const exact = matchTransform({
    source: resolveEncoding(match.sourceEncoding),
    model: match.model,
    working,
    output: resolveEncoding(match.outputEncoding),
    bits: match.bits,
  })
  const byLut = matchLights(match, clipped(apply))
  const byMatch = matchLights(match, clipped(exact))
  const lab = labOfLinear(working)
  return mean([...byMatch].map(([patch, light]) => deltaE00(lab(light), lab(byLut.get(patch)!))))
}

const inRange = (value: number) => Math.min(1, Math.max(0, value))
const clipped =
  (apply: (code: Vec3) => Vec3) =>
  (code: Vec3): Vec3 => {
    const [r, g, b] = apply([inRange(code[0]), inRange(code[1]), inRange(code[2])])
    return [inRange(r), inRange(g), inRange(b)]
  }

/** Mean ΔE00 between two LUTs over the patches of now. */
function between(
  a: (code: Vec3) => Vec3,
  b: (code: Vec3) => Vec3,
  output: Encoding,
  { working }: ShowPlan,
  { readings, range, bits }: { readings: Readings; range: 'full' | 'narrow'; bits: number },
): number {
  const lab = labOfLinear(working)
  const [first, second] = [a, b].map((apply) => throughLut(apply, { range }, output, working, bits))
  return mean(readings.patches.map(({ rgb }) => deltaE00(lab(first!(rgb)), lab(second!(rgb)))))
}

const mean = (values: readonly number[]) =>
  values.length === 0 ? 0 : values.reduce((sum, value) => sum + value, 0) / values.length
