import { given } from '@isochip/core'
import { foldedName } from '../files/foldedName.ts'
import { nameFault } from './safeName.ts'
import type { Fault } from './schemaFaults.ts'
import type { Shot, Show, ShowCamera } from './show.ts'
import { defaultSetup, largestBounded, matchEndings, outputFormats } from './show.ts'
import type { ShowFile } from './showSchema.ts'
import { suggestion } from './suggestion.ts'
import type { FaultPath } from './yamlPlace.ts'

/** A show from its file's content, defaults filled in; what a schema cannot say is added to `faults`. */
export function checkShow(file: ShowFile, fallbackTitle: string, faults: Fault[]): Show {
  const cameras = file.cameras.map((camera, index): ShowCamera => {
    const path = ['cameras', index]
    const fault = nameFault(camera.id)
    if (fault !== undefined)
      faults.push({ path: [...path, 'id'], message: `the camera id "${camera.id}" ${fault}` })
    checkControls(camera, path, faults)
    const own = shots(camera, path, faults)
    if (camera.ycbcr !== undefined && !own.some(({ kind }) => kind === 'frames'))
      faults.push({
        path: [...path, 'ycbcr'],
        message: `camera "${camera.id}" has ycbcr but no frames to which it belongs`,
      })
    return {
      id: camera.id,
      encoding: camera.encoding,
      ...given({ ycbcr: camera.ycbcr, controls: camera.controls }),
      shots: own,
    }
  })
  checkSetupNames(cameras, faults)
  const first = new Map<string, number>()
  for (const [index, { id }] of cameras.entries()) {
    const before = first.get(foldedName(id))
    if (before === undefined) {
      first.set(foldedName(id), index)
      continue
    }
    const same = cameras[before]!.id === id
    faults.push({
      path: ['cameras', index, 'id'],
      message: same
        ? `camera "${id}" is named twice, first as camera ${before + 1} of the list`
        : `cameras "${cameras[before]!.id}" and "${id}" differ only in case or Unicode form`,
      hint: same
        ? 'give all its setups under one camera, in shots; two cameras need two ids'
        : 'both become file names, and on some disks these two would be one file',
    })
  }
  checkFileNames(cameras, faults)
  const { target } = file
  const ids = cameras.map(({ id }) => id)
  if ('camera' in target && !ids.includes(target.camera))
    faults.push({
      path: ['target', 'camera'],
      message: `the target camera "${target.camera}" is none of the show’s cameras`,
      hint: suggestion(target.camera, ids, 'its cameras are'),
    })
  checkMeasured(cameras, target, faults)
  // A camera without any setup has been told of above.
  if ('camera' in target && faults.length === 0) checkTargetShots(cameras, target.camera, faults)
  if ('consensus' in target) {
    for (const id of Object.keys(target.weights ?? {})) {
      if (ids.includes(id)) continue
      faults.push({
        path: ['target', 'weights', id],
        at: 'key',
        message: `there is no camera "${id}" to be weighted`,
        hint: suggestion(id, ids, 'the cameras are'),
      })
    }
  }
  if (file.output?.encoding === 'target' && !('camera' in target))
    faults.push({
      path: ['output', 'encoding'],
      message: 'output.encoding is "target", but the target is no camera that has an encoding',
      hint: 'name the encoding that the LUTs are to give, such as bt709, or leave the line out',
    })
  checkNodes(file, faults)
  checkOcio(file, faults)
  return {
    title: file.title ?? fallbackTitle,
    chart: file.chart,
    target,
    working: file.working ?? 'bt709',
    fit: file.fit ?? {},
    output: {
      encoding: file.output?.encoding ?? 'target',
      formats: [...new Set(file.output?.formats ?? (['cube'] as const))],
      size: file.output?.size ?? 33,
      ...given({ nodes: file.output?.nodes, nodeBits: file.output?.nodeBits }),
      pictures: file.output?.pictures ?? true,
    },
    tolerance: { mean: file.tolerance?.mean ?? 1, max: file.tolerance?.max ?? 3 },
    cameras,
  }
}

/** A config names LUT files. */
function checkOcio({ output = {} }: ShowFile, faults: Fault[]): void {
  const { formats = [] } = output
  if (!formats.includes('ocio') || formats.includes('cube') || formats.includes('clf')) return
  faults.push({
    path: ['output', 'formats'],
    message: 'output.formats has ocio, but no LUTs that the config can name',
    hint: 'add clf, the steps themselves, or cube',
  })
}

/** What bounded nodes can be. */
function checkNodes({ output = {} }: ShowFile, faults: Fault[]): void {
  const { nodes = 'float', nodeBits, size } = output
  if (nodeBits !== undefined && nodes !== 'bounded')
    faults.push({
      path: ['output', 'nodeBits'],
      at: 'key',
      message: 'output.nodeBits is given, but the nodes are not bounded',
      hint: 'add nodes: bounded, or remove the line',
    })
  if (nodes === 'bounded' && typeof size === 'number' && size > largestBounded)
    faults.push({
      path: ['output', 'size'],
      message: `output.size is ${size}, expected at most ${largestBounded} with bounded nodes`,
      hint: 'LUT boxes have 17, 33 or 65 nodes along an axis',
    })
}

type CameraFile = ShowFile['cameras'][number]
type Source = Pick<
  NonNullable<CameraFile['shots']>[number],
  'frames' | 'readings' | 'corners' | 'borrow' | 'at'
>

function shots(camera: CameraFile, path: FaultPath, faults: Fault[]): Shot[] {
  const direct = camera.frames !== undefined || camera.readings !== undefined
  if (camera.shots === undefined) {
    if (!direct) {
      faults.push({
        path: [...path, 'shots'],
        message: `camera "${camera.id}" has neither frames nor readings`,
        hint: 'give frames: or readings: of the chart, or a list of setups under shots:',
      })
      return []
    }
    return shot(camera, defaultSetup, path, faults)
  }
  if (direct || camera.corners !== undefined || camera.at !== undefined)
    faults.push({
      path: [...path, 'shots'],
      at: 'key',
      message: `camera "${camera.id}" has shots, and ${camera.frames !== undefined ? 'frames' : camera.readings !== undefined ? 'readings' : camera.corners !== undefined ? 'corners' : 'at'} beside them`,
      hint: 'move them into one of the shots',
    })
  const seen = new Map<string, string>()
  const all = camera.shots.flatMap((entry, index) => {
    const here = [...path, 'shots', index]
    const setup = entry.setup ?? defaultSetup
    const fault = nameFault(setup)
    if (fault !== undefined)
      faults.push({ path: [...here, 'setup'], message: `the setup name "${setup}" ${fault}` })
    const before = seen.get(foldedName(setup))
    if (before !== undefined)
      faults.push({
        path: [...here, 'setup'],
        message:
          before === setup
            ? `camera "${camera.id}" has the setup "${setup}" twice`
            : `the setups "${before}" and "${setup}" differ only in case or Unicode form`,
        hint: 'several frames of one setup go into one list of frames:',
      })
    seen.set(foldedName(setup), setup)
    return shot(entry, setup, here, faults)
  })
  for (const [index, entry] of camera.shots.entries()) {
    if (entry.borrow === undefined) continue
    const lender = all.find(({ setup }) => setup === entry.borrow)
    if (lender !== undefined && lender.kind !== 'borrowed') continue
    const lenders = all.filter(({ kind }) => kind !== 'borrowed').map(({ setup }) => setup)
    faults.push({
      path: [...path, 'shots', index, 'borrow'],
      message:
        lender === undefined
          ? `camera "${camera.id}" has no setup "${entry.borrow}" to borrow from`
          : `setup "${entry.borrow}" is borrowed itself`,
      hint: suggestion(entry.borrow, lenders, 'setups with a chart'),
    })
  }
  return all
}

function shot(source: Source, setup: string, path: FaultPath, faults: Fault[]): Shot[] {
  const sources = (['frames', 'readings', 'borrow'] as const).filter((key) => source[key] !== undefined)
  if (sources.length !== 1)
    faults.push({
      path,
      message:
        sources.length === 0
          ? `setup "${setup}" has neither frames nor readings`
          : `setup "${setup}" has ${sources.join(' and ')}; only one of them can be`,
      hint: 'give frames: of the chart, readings: from a CSV file, or borrow: with the name of another setup',
    })
  if (source.corners !== undefined && source.frames === undefined)
    faults.push({
      path: [...path, 'corners'],
      message: `setup "${setup}" has corners but no frames to which they belong`,
    })
  if (source.at !== undefined && source.frames === undefined)
    faults.push({
      path: [...path, 'at'],
      message: `setup "${setup}" has a place in a movie but no frames`,
    })
  if (source.at?.seconds !== undefined && source.at.frame !== undefined)
    faults.push({
      path: [...path, 'at', 'frame'],
      at: 'key',
      message: `setup "${setup}" has both seconds and a frame to begin at; only one of them can be`,
    })
  if (source.frames !== undefined) {
    const frames = typeof source.frames === 'string' ? [source.frames] : source.frames
    return [
      {
        kind: 'frames',
        setup,
        frames,
        ...given({ corners: source.corners, at: source.at }),
      },
    ]
  }
  if (source.readings !== undefined) return [{ kind: 'readings', setup, readings: source.readings }]
  if (source.borrow !== undefined) return [{ kind: 'borrowed', setup, borrow: source.borrow }]
  return []
}

/** Setups are folders of the output, and what two cameras call alike is one setup: it has to be spelled as one. */
function checkSetupNames(cameras: readonly ShowCamera[], faults: Fault[]): void {
  const spelled = new Map<string, { readonly setup: string; readonly camera: string }>()
  for (const [index, { id: camera, shots }] of cameras.entries()) {
    for (const [shotIndex, { setup }] of shots.entries()) {
      const before = spelled.get(foldedName(setup))
      if (before === undefined) spelled.set(foldedName(setup), { setup, camera })
      // Two of one camera are told of where its shots are looked at.
      else if (before.setup !== setup && before.camera !== camera)
        faults.push({
          path: ['cameras', index, 'shots', shotIndex, 'setup'],
          message: `the setups "${before.setup}" of camera "${before.camera}" and "${setup}" of camera "${camera}" differ only in case or Unicode form`,
          hint: 'spell them alike: both become folder names, and on some disks these two would be one folder',
        })
    }
  }
}

/** Names of two cameras of which one is the other with the ending of a file: `jib` and `jib.live` both have a `jib.live.clf`. */
function checkFileNames(cameras: readonly ShowCamera[], faults: Fault[]): void {
  const first = new Map<string, string>()
  for (const [index, { id }] of cameras.entries()) {
    for (const ending of matchEndings(outputFormats)) {
      const file = foldedName(id + ending)
      const before = first.get(file) ?? id
      first.set(file, before)
      // Of names that are the same altogether more is told.
      if (foldedName(before) === foldedName(id)) continue
      faults.push({
        path: ['cameras', index, 'id'],
        message: `cameras "${before}" and "${id}" would both have the file ${id}${ending}`,
        hint: 'name one of them otherwise',
      })
    }
  }
}

/** A curve is measured against a target, which therefore has to be known without it. */
function checkMeasured(cameras: readonly ShowCamera[], target: Show['target'], faults: Fault[]): void {
  const measured = cameras.map(
    ({ encoding }) => (typeof encoding === 'string' ? encoding : encoding.transfer) === 'measured',
  )
  if ('reference' in target) return
  if ('camera' in target) {
    const index = cameras.findIndex(({ id }) => id === target.camera)
    if (index >= 0 && measured[index])
      faults.push({
        path: ['cameras', index, 'encoding'],
        message: `camera "${target.camera}" is the target, and its curve cannot be measured against itself`,
        hint: 'give its encoding, such as bt709, or let target be another camera or the chart’s reference values',
      })
    return
  }
  if (measured.filter((yes) => !yes).length < 2)
    faults.push({
      path: ['target', 'consensus'],
      message: 'the mean is of the cameras whose encoding is known, and there are fewer than two of them',
      hint: 'give the encodings, or let target be one camera or the chart’s reference values',
    })
  for (const [index, { id }] of cameras.entries()) {
    if (measured[index] && target.weights?.[id] !== undefined)
      faults.push({
        path: ['target', 'weights', id],
        at: 'key',
        message: `camera "${id}" has no part in the mean: its curve is measured against it`,
        hint: 'remove the weight, or give the camera’s encoding',
      })
  }
}

/** Where one camera is the target, it must have shot the chart in every setup that another camera did. */
function checkTargetShots(cameras: readonly ShowCamera[], target: string, faults: Fault[]): void {
  const own = cameras.find(({ id }) => id === target)
  if (own === undefined) return
  const lit = new Set(own.shots.filter(({ kind }) => kind !== 'borrowed').map(({ setup }) => setup))
  for (const [index, camera] of cameras.entries()) {
    for (const [shotIndex, { setup, kind }] of camera.shots.entries()) {
      if (kind === 'borrowed' || lit.has(setup)) continue
      faults.push({
        path: ['cameras', index, 'shots', shotIndex, 'setup'],
        message: `the target camera "${target}" has no chart in setup "${setup}" for camera "${camera.id}" to be matched to`,
        hint: `add the setup to camera "${target}", or let "${camera.id}" borrow: the match of another setup`,
      })
    }
  }
}

/** One control counts in one unit. */
function checkControls(
  { id, controls }: ShowFile['cameras'][number],
  path: FaultPath,
  faults: Fault[],
): void {
  for (const [name, units] of [
    ['gains', ['percent', 'dB']],
    ['pedestal', ['percent', 'mV']],
  ] as const) {
    const control = controls?.[name]
    if (control === undefined || control === 'none' || !units.every((unit) => unit in control)) continue
    faults.push({
      path: [...path, 'controls', name],
      message: `a click of ${name} of camera "${id}" is given in ${units.join(' and in ')}`,
      hint: 'give one of them',
    })
  }
}
