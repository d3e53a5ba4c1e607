import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { IsochipError } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { markPng, OutputFolder } from '@isochip/show/node'
import { renderHarbourKitchen } from '@isochip/synthetic'

/**
 * Renders the demo show into a folder: `show.yaml` and its frames.
 *
 * @param size pixels of a frame; default as the demo has them
 * @returns path of the show file
 * @throws IsochipError `output-exists` also where the show file was changed since: nobody's changes are lost
 */
export async function writeDemoShow(
  out: string,
  force: boolean,
  signal: AbortSignal | undefined,
  progress: (done: number, all: number, what: string) => void,
  size?: { readonly width: number; readonly height: number },
): Promise<string> {
  const kitchen = renderHarbourKitchen(size)
  const show = join(out, 'show.yaml')
  const before = await readFile(show, 'utf8').catch(() => kitchen.show)
  if (before !== kitchen.show && !force)
    throw new IsochipError('output-exists', `${show} is not as the demo writes it`, {
      hint: `match it as it is with isochip match ${show}, give another folder with --out, or replace it with --force`,
      place: { file: show },
    })
  const frames = kitchen.shots.flatMap(({ names }) => names)
  const folder = await OutputFolder.open(out, frames, { force })
  try {
    await folder.stage('show.yaml', kitchen.show)
    for (const [index, shot] of kitchen.shots.entries()) {
      progress(index, kitchen.shots.length, `camera ${shot.camera}, ${shot.setup}`)
      for (const { name, frame } of shot.render()) {
        if (signal?.aborted) throw new IsochipError('cancelled', 'cancelled; no file was changed')
        const { width, height, data, bits } = frame
        const png = await encodeFrame(createFrame(width, height, data, bits), { format: 'png' })
        await folder.stage(name, markPng(png))
      }
    }
    progress(kitchen.shots.length, kitchen.shots.length, '')
    await folder.commit()
  } finally {
    await folder.discard()
  }
  return show
}
