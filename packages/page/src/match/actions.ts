import type { ShowCorners, ShowEncoding } from '@isochip/show'
import { batch } from '@preact/signals'
import { clipGrab, isClip } from './clipGrab.ts'
import type { NamedFile, ShotSource } from './messages.ts'
import { numberOf } from './numberOf.ts'
import {
  type Camera,
  type Choices,
  cameras,
  choices,
  fault,
  matched,
  namedFiles,
  type Shot,
  setups,
} from './state.ts'
import { ask, failureOf } from './workers.ts'

let keys = 0

const changeCamera = (key: number, change: (camera: Camera) => Camera) => {
  cameras.value = cameras.value.map((one) => (one.key === key ? change(one) : one))
}

const changeShot = (key: number, setup: string, change: (shot: Shot) => Shot) =>
  changeCamera(key, (camera) => ({
    ...camera,
    shots: camera.shots.map((shot) => (shot.setup === setup ? change(shot) : shot)),
  }))

/** A name for a camera that no other has, made of one that a file has. */
function freeId(wanted: string): string {
  const plain =
    wanted
      .replace(/\.[^./]+$/, '')
      .replace(/[^\p{L}\p{N}_-]+/gu, '-')
      .replace(/^[^\p{L}\p{N}]+/u, '') || 'camera'
  const taken = (id: string) =>
    cameras.value.some((one) => one.id.normalize('NFC').toLowerCase() === id.normalize('NFC').toLowerCase())
  for (let n = 1; ; n++) {
    const id = n === 1 ? plain : `${plain}-${n}`
    if (!taken(id)) return id
  }
}

export function addCamera(name: string, encoding: ShowEncoding = 'bt709'): number {
  const key = keys++
  cameras.value = [...cameras.value, { key, id: freeId(name), encoding, shots: [] }]
  return key
}

export function removeCamera(key: number): void {
  cameras.value = cameras.value.filter((one) => one.key !== key)
}

export function renameCamera(key: number, id: string): void {
  changeCamera(key, (camera) => (id === '' || id === camera.id ? camera : { ...camera, id: freeId(id) }))
}

export function setEncoding(key: number, encoding: ShowEncoding): void {
  changeCamera(key, (camera) => ({ ...camera, encoding }))
  const camera = cameras.value.find((one) => one.key === key)!
  // Its levels are means of light, which the curve makes of codes.
  for (const { setup } of camera.shots) void readAgain(key, setup, {})
}

export function choose(change: Partial<Choices>): void {
  choices.value = { ...choices.value, ...change }
  if (change.chart === undefined) return
  for (const { key, shots } of cameras.value)
    for (const { setup } of shots) void readAgain(key, setup, { corners: undefined })
}

export function addSetup(): void {
  for (let n = setups.value.length + 1; ; n++) {
    const name = `setup-${n}`
    if (setups.value.includes(name)) continue
    setups.value = [...setups.value, name]
    return
  }
}

export function renameSetup(from: string, to: string): void {
  const name = to.trim().replace(/[^\p{L}\p{N}_-]+/gu, '-')
  if (name === '' || setups.value.includes(name)) return
  batch(() => {
    setups.value = setups.value.map((one) => (one === from ? name : one))
    cameras.value = cameras.value.map((camera) => ({
      ...camera,
      shots: camera.shots.map((shot) =>
        shot.setup === from ? { ...shot, setup: name, asked: shot.asked + 1 } : shot,
      ),
    }))
  })
  for (const { key, shots } of cameras.value)
    if (shots.some(({ setup }) => setup === name)) void readAgain(key, name, {})
}

/** Gives a camera its shot of a setup, and reads it. */
export async function shoot(
  key: number,
  setup: string,
  source: ShotSource,
  name: string,
  corners?: ShowCorners,
): Promise<void> {
  const camera = cameras.value.find((one) => one.key === key)
  const before = camera?.shots.find((shot) => shot.setup === setup)
  const judged = matched.value?.judged.find((one) => one.camera === camera?.id && one.setup === setup)
  const rounds =
    before?.read === undefined || judged?.set === undefined
      ? []
      : [
          ...before.rounds.map((round, i) => {
            const touched = judged.set!.touched[i] ?? round.touched
            return {
              ...round,
              done: judged.set!.done[i] ?? round.done ?? 0,
              ...(touched === undefined ? {} : { touched }),
            }
          }),
          { readings: before.read.readings.readings, asked: judged.set.asked },
        ]
  const shot: Shot = {
    setup,
    source,
    name,
    state: 'reading',
    asked: before?.asked ?? 0,
    rounds,
    ...(corners === undefined ? {} : { corners }),
  }
  changeCamera(key, (one) => ({
    ...one,
    shots: [...one.shots.filter((other) => other.setup !== setup), shot],
  }))
  await readAgain(key, setup, {}, false)
}

/** Gives a camera what a clip shows at a time as its shot. */
export async function shootClip(key: number, setup: string, clip: NamedFile, seconds = 0): Promise<void> {
  try {
    const grab = await clipGrab(clip, seconds)
    await shoot(key, setup, { grab, clip: { ...clip, seconds } }, clip.path)
  } catch (cause) {
    fault.value = failureOf(cause)
  }
}

/** Gives a camera files as its shot: frames, readings, or a clip. */
export function shootFiles(key: number, setup: string, files: readonly NamedFile[]): Promise<void> {
  const clip = files.find(isClip)
  if (clip !== undefined) return shootClip(key, setup, clip)
  return shoot(key, setup, { files }, files.map(({ path }) => path).join(', '))
}

/** Reads a shot again, after its corners, its encoding or the chart has changed. */
export async function readAgain(
  key: number,
  setup: string,
  change: { readonly corners?: ShowCorners | undefined },
  first = true,
): Promise<void> {
  let asked = 0
  changeShot(key, setup, ({ corners: before, ...shot }) => {
    asked = shot.asked + 1
    const corners = 'corners' in change ? change.corners : before
    return { ...shot, ...(corners === undefined ? {} : { corners }), state: 'reading', asked }
  })
  const camera = cameras.value.find((one) => one.key === key)
  const shot = camera?.shots.find((one) => one.setup === setup)
  if (camera === undefined || shot === undefined) return
  const { source, corners } = shot
  const finish = (change: (shot: Shot) => Shot) =>
    changeShot(key, setup, (now) => (now.asked === asked ? change(now) : now))
  try {
    const read = await ask<'read'>(
      {
        kind: 'read',
        chart: choices.value.chart,
        files: namedFiles.value,
        encoding: camera.encoding,
        camera: camera.id,
        setup,
        source,
        sourceNumber: numberOf(source),
        ...(corners === undefined ? {} : { corners }),
      },
      { first },
    )
    finish(({ failure: _, ...now }) => ({ ...now, state: 'read', read }))
  } catch (cause) {
    const failure = failureOf(cause)
    finish(({ read: _, ...now }) => ({ ...now, state: 'failed', failure }))
  }
}

export function dropShot(key: number, setup: string): void {
  changeCamera(key, (camera) => ({
    ...camera,
    shots: camera.shots.filter((shot) => shot.setup !== setup),
  }))
}
