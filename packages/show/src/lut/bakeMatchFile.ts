import { readFile } from 'node:fs/promises'
import { basename, dirname, extname, join, resolve } from 'node:path'
import { IsochipError, resolveEncoding, resolvePrimaries, type Vec3, type Warning } from '@isochip/core'
import {
  bakeTransformNodes,
  chooseLattice,
  clfFromLut,
  clfFromMatch,
  concatenateProcessLists,
  cubeChunks,
  type EncodedMatch,
  type LatticeLut,
  type LutQuality,
  liveClfFromMatch,
  matchTransform,
  measureLut,
  type NodeKind,
  type NodeOptions,
  outputLab,
  type ProcessList,
  type ShapedLut,
  writeClf,
} from '@isochip/export'
import { fileOfRun, listedSums } from '../files/checkFiles.ts'
import { portable } from '../files/filePaths.ts'
import { keepInput } from '../files/keepInput.ts'
import { OutputFolder } from '../files/outputFolder.ts'
import { unreadable } from '../files/unreadable.ts'
import { lutFunction, readLutFile } from '../load/readLutFile.ts'
import { parseMatchFile } from '../matchFile/parseMatchFile.ts'
import { type LutFormat, lutEndings } from '../showFile/show.ts'
import { plainTitle } from './bakeFormats.ts'
import { beyondNodes } from './beyondNodes.ts'
import { lutComments, nodesComment } from './lutComments.ts'

export interface BakeMatchOptions {
  /** Nodes along each axis, default 33. The steps of a linear match have none: then it is not used, and a warning. */
  readonly size?: number
  /**
   * Default `cube`: a lattice. `clf`: the steps of the match, of which nothing is sampled. `clf-live`: a lattice of 33 nodes
   * a side for LUT boxes of live productions.
   */
  readonly format?: LutFormat
  /** `bounded`: nodes within 0…1, for LUT boxes that store integers. Default `float`. */
  readonly nodes?: NodeKind
  /** With bounded nodes: whole steps of so many bits, 8…16. */
  readonly nodeBits?: number
  /** A LUT that goes after the match: code values of its output encoding in. */
  readonly then?: string
  /** The file to write; default beside the match file, called after it (and after the look). */
  readonly out?: string
  readonly force?: boolean
}

export interface BakedFile {
  readonly file: string
  readonly warnings: readonly Warning[]
}

/** Points over the code range at which a lattice is held against the match. */
const samples = 2000

/**
 * Bakes a match file to a LUT again: at another size, in another format, or together with a look.
 *
 * @returns the file, and what should be known of it: how far interpolation is off, a size that had no use
 * @throws IsochipError `match-invalid`, `lut-syntax`, `lut-limits`, `output-exists`, `output-unwritable`
 */
export async function bakeMatchFile(path: string, options: BakeMatchOptions = {}): Promise<BakedFile> {
  const { size: asked, format = 'cube', then, force = false } = options
  const size = asked ?? 33
  const ofNodes: NodeOptions = {
    ...(options.nodes === undefined ? {} : { nodes: options.nodes }),
    ...(options.nodeBits === undefined ? {} : { nodeBits: options.nodeBits }),
  }
  if (options.nodeBits !== undefined && options.nodes !== 'bounded') {
    throw new IsochipError('usage', 'nodeBits is given, but the nodes are not bounded')
  }
  const match = await parseMatchFile(await readMatchText(path), path)
  const encoded: EncodedMatch = {
    source: resolveEncoding(match.sourceEncoding),
    model: match.model,
    working: resolvePrimaries(match.working),
    output: resolveEncoding(match.outputEncoding),
    bits: match.bits,
  }
  const look =
    then === undefined ? undefined : { name: basename(then, extname(then)), file: await readLutFile(then) }
  const title = plainTitle(
    `${match.title}, ${match.setup}, ${match.camera}${look === undefined ? '' : `, then ${look.name}`}`,
  )
  const comments = [...lutComments(match), ...(look === undefined ? [] : [`Behind the match: ${look.name}`])]
  const stem = basename(path).replace(/(\.match)?\.json$/i, '')
  const file =
    options.out ??
    join(dirname(path), `${stem}${look === undefined ? '' : `.${look.name}`}${lutEndings[format]}`)
  const heading = {
    id: `${match.setup}-${match.camera}`.replace(/[^\w.-]+/g, '_'),
    name: title,
    descriptions: comments,
  }
  await keepInput(file, then === undefined ? [path] : [path, then])
  const warnings: Warning[] = []
  const bytes = format === 'cube' ? lattice() : format === 'clf' ? steps() : live()

  const run = await runFolderOf(path)
  const mixed = run === undefined ? undefined : await (await fileOfRun(run))(within(run, path))
  if (mixed !== undefined) warnings.push({ code: 'files-mixed', message: mixed })
  // Among the files of a run, the new one is one of them: the list of their checksums has to have it.
  const inRun = run !== undefined && !within(run, file).startsWith('..')
  const [base, name] = inRun ? [run, within(run, file)] : [dirname(file), basename(file)]
  const folder = await OutputFolder.open(base, [name], { force, ...(inRun ? { list: 'part' } : {}) })
  try {
    await folder.stage(name, bytes)
    await folder.commit()
  } finally {
    await folder.discard()
  }
  return { file, warnings: warnings.map((one) => ({ ...one, place: { ...one.place, file } })) }

  function lattice(): Uint8Array {
    if (look === undefined) {
      const chosen = chooseLattice(encoded, { size, title, samples, trilinear: false, ...ofNodes })
      warnings.push(...chosen.warnings)
      return asCube(chosen.lut, chosen.quality)
    }
    const exact = matchTransform(encoded)
    const after = lutFunction(look.file)
    const whole = (code: Vec3) => after(exact(code))
    const lut = bakeTransformNodes(whole, { size, title, ...ofNodes })
    const lab = outputLab(encoded.output, match.bits)
    const quality = measureLut(lut, whole, { lab, samples, trilinear: false })
    const { everywhere, neutral } = quality.tetrahedral
    const worst = Math.max(everywhere.maxDE00, neutral.maxDE00)
    if (worst > 0.5) {
      warnings.push({
        code: 'lattice-error',
        message: `interpolation adds up to ΔE00 ${worst.toFixed(2)} at size ${size}, look included; the limit is 0.5`,
      })
    }
    return asCube(lut, quality)
  }

  function asCube(lut: LatticeLut | ShapedLut, quality: LutQuality): Uint8Array {
    const integers = options.nodes === 'bounded' ? undefined : beyondNodes(quality.integers)
    if (integers !== undefined) warnings.push(integers)
    return Buffer.concat([...cubeChunks(lut, { comments: [...comments, ...nodesComment(ofNodes, quality)] })])
  }

  /** The steps do not fit into the profile: match and look become one lattice. */
  function live(): Uint8Array {
    if (asked !== undefined && asked !== 33) sizeUnused(`the profile has lattices of 33`)
    const clf = liveClfFromMatch(encoded, {
      ...heading,
      ...ofNodes,
      ...(look === undefined ? {} : { after: lutFunction(look.file) }),
    })
    warnings.push(...clf.warnings)
    return Buffer.from(writeClf(clf.list, { generation: 'both' }))
  }

  function sizeUnused(why: string): void {
    warnings.push({ code: 'size-unused', message: `a size of ${asked} was asked for, but ${why}` })
  }

  /** Nothing is sampled: the steps of the match, then those of the look. */
  function steps(): Uint8Array {
    const { list, warnings: ofSteps } = clfFromMatch(encoded, { ...heading, size, ...ofNodes })
    warnings.push(...ofSteps)
    if (asked !== undefined && (match.kind === 'reference' || match.model.rootPolynomial === undefined)) {
      sizeUnused('the file holds the steps of the match, which are not sampled')
    }
    const after: ProcessList | undefined =
      look === undefined
        ? undefined
        : look.file.kind === 'steps'
          ? look.file.list
          : clfFromLut(look.file.lut, look.name)
    const all =
      after === undefined ? list : { ...concatenateProcessLists(list, after, heading.id), name: title }
    return Buffer.from(writeClf(all))
  }
}

/** The folder of the run that a match file belongs to: the one with the list of checksums. */
async function runFolderOf(match: string): Promise<string | undefined> {
  const own = dirname(resolve(match))
  for (const folder of [dirname(own), own]) {
    if ((await listedSums(folder))?.has(within(folder, match))) return folder
  }
  return undefined
}

const within = (folder: string, path: string) => portable(resolve(folder), resolve(path))

async function readMatchText(path: string): Promise<string> {
  const text = await readFile(path, 'utf8').catch((cause: unknown) => {
    throw new IsochipError('match-invalid', unreadable(cause, 'a match file'), {
      hint: 'give a .match.json file as isochip match writes it',
      place: { file: path },
      cause,
    })
  })
  // Before anybody is told that a LUT is not valid JSON.
  if (/\.(?:cube|clf)$/i.test(path) || text.trimStart().startsWith('<')) {
    throw new IsochipError('match-invalid', 'this is a LUT, expected a match file', {
      hint: 'give the .match.json file that lies beside it; a LUT that goes after the match is given separately',
      place: { file: path },
    })
  }
  return text
}
