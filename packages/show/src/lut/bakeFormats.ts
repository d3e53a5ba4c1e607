import { fractionFromNominal, given, type Vec3, type Warning } from '@isochip/core'
import {
  chooseLattice,
  clfFromMatch,
  cubeChunks,
  cubeWarnings,
  fitCdl,
  liveClfFromMatch,
  writeCc,
  writeCdl,
  writeClf,
} from '@isochip/export'
import type { LutReport } from '@isochip/report'
import type { SetupMatch } from '../fit/matchSetup.ts'
import type { ShowPlan } from '../load/planShow.ts'
import { type LutFormat, lutEndings, type OutputFormat } from '../showFile/show.ts'
import { beyondLut } from './beyondLut.ts'
import { beyondNodes } from './beyondNodes.ts'
import { cdlComment, lutComments, nodesComment } from './lutComments.ts'

export interface BakedFormats {
  /** Content of the files of each format asked for, in the order of `matchEndings`. */
  readonly files: readonly { readonly format: OutputFormat; readonly bytes: Uint8Array }[]
  /** All of a LUT report but the names of the files. A file of steps has no points, and so no size. */
  readonly lattice: Omit<LutReport, 'files'>
  readonly warnings: readonly Warning[]
}

/**
 * Points over the whole range of code values at which a lattice is tried, beside the patches and the neutral axis:
 * enough to find its worst cell to a few percent, few enough for hundreds of cameras.
 */
const samples = 2000

/** The LUT of a match in the formats that the show asks for. Pure. */
export function bakeFormats(plan: ShowPlan, one: SetupMatch): BakedFormats {
  const { show, working, output } = plan
  const { source, bits, setup, camera } = one
  const match = { source, model: one.match.model, working, output, bits }
  const comments = lutComments({
    camera,
    setup,
    kind: one.match.kind,
    ...given({ borrowed: one.borrowed }),
    title: show.title,
    target: show.target,
    sourceEncoding: source.spec,
    outputEncoding: output.spec,
    warnings: one.match.warnings,
  })
  const fileId = `${setup}-${camera}`.replace(/[^\w.-]+/g, '_')
  const title = plainTitle(`${show.title}, ${setup}, ${camera}`)
  const warnings: Warning[] = []
  /** Which of the files it is about. */
  const at =
    (format: LutFormat) =>
    (warning: Warning): Warning => ({
      ...warning,
      place: { ...warning.place, file: `${setup}/${camera}${lutEndings[format]}` },
    })
  const { nodes, nodeBits } = show.output
  const ofNodes = given({ nodes, nodeBits })
  const files: BakedFormats['files'][number][] = []
  let lattice: BakedFormats['lattice'] = {}
  let cdl: BakedFormats['lattice']['cdl']
  const fraction = (v: number) => Math.min(1, Math.max(0, fractionFromNominal(v, source.range, bits)))
  const points = one.readings.patches.map(
    ({ rgb }): Vec3 => [fraction(rgb[0]), fraction(rgb[1]), fraction(rgb[2])],
  )
  for (const format of show.output.formats) {
    if (format === 'ocio') continue
    if (format === 'cdl') {
      const fitted = fitCdl(match, points)
      cdl = { points: fitted.points, colours: fitted.colours }
      const text = { id: fileId, descriptions: [...comments, cdlComment(fitted)] }
      for (const write of [writeCdl, writeCc])
        files.push({ format, bytes: new TextEncoder().encode(write(fitted.cdl, text)) })
      continue
    }
    if (format !== 'cube') {
      const size = show.output.size === 'auto' ? 33 : show.output.size
      const heading = { id: fileId, name: title, descriptions: comments, ...ofNodes }
      // A box that knows the profile and a reader of version 3 take the same file.
      const live = format === 'clf-live'
      const clf = live ? liveClfFromMatch(match, heading) : clfFromMatch(match, { ...heading, size })
      const text = writeClf(clf.list, live ? { generation: 'both' } : {})
      files.push({ format, bytes: new TextEncoder().encode(text) })
      warnings.push(...clf.warnings.map(at(format)))
      continue
    }
    const { size } = show.output
    const chosen = chooseLattice(match, { size, title, points, samples, trilinear: false, ...ofNodes })
    const { everywhere, neutral, points: atPatches } = chosen.quality.tetrahedral
    lattice = {
      size: chosen.lut.kind === 'shaped' ? chosen.lut.lattice.size : chosen.lut.size,
      interpolation: {
        mean: everywhere.meanDE00,
        max: Math.max(everywhere.maxDE00, neutral.maxDE00, atPatches.maxDE00),
      },
      ...(chosen.quality.integers.worst > 0 ? { integers: chosen.quality.integers } : {}),
    }
    const heading = [...comments, ...nodesComment(ofNodes, chosen.quality)]
    files.push({ format, bytes: joined([...cubeChunks(chosen.lut, { comments: heading })]) })
    const leftOut = new Set(one.match.patches.filter(({ excluded }) => excluded).map(({ patch }) => patch))
    const judged = one.readings.patches.filter(({ patch }) => !leftOut.has(patch))
    const beyond = beyondLut(judged, source, bits)
    const integers = nodes === 'bounded' ? undefined : beyondNodes(chosen.quality.integers)
    const cautions = [
      ...chosen.warnings,
      ...cubeWarnings(chosen.lut),
      ...(beyond === undefined ? [] : [beyond]),
      ...(integers === undefined ? [] : [integers]),
    ]
    warnings.push(...cautions.map(at(format)))
  }
  return { files, lattice: { ...lattice, ...given({ cdl }) }, warnings }
}

/** A title stands between quotation marks, on one line. */
export const plainTitle = (title: string): string => title.replace(/"/g, "'").replace(/\p{Cc}+/gu, ' ')

/** Pieces as one; without Node's buffers, so that this runs in a browser too. */
function joined(pieces: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(pieces.reduce((sum, { length }) => sum + length, 0))
  let at = 0
  for (const piece of pieces) {
    whole.set(piece, at)
    at += piece.length
  }
  return whole
}
