import { cp, mkdir, readdir, stat } from 'node:fs/promises'
import { join } from 'node:path'
import { setTimeout } from 'node:timers/promises'
import { fileURLToPath } from 'node:url'
import { isIsochipError } from '@isochip/core'
import { matchShow } from '@isochip/show/node'

/*
 * A hot folder: whatever is put into it as a folder with a show.yaml is matched as soon as it has arrived whole, and
 * matched again when a frame of it changes. The LUTs go into a folder of the same name under OUT.
 *
 *     npm start                                          (puts the colourist's example in, and ends when it is done)
 *     node --import tsx/esm hotFolder.ts FOLDER OUT      (until Ctrl-C)
 *
 * It looks every few seconds instead of asking the system for changes, since network storage often tells of none.
 */
const here = fileURLToPath(new URL('.', import.meta.url))
const sample = process.argv.length <= 2
const [folder = join(here, 'hot'), out = join(here, 'luts')] = process.argv.slice(2)
const pause = 1000 * Number(process.env.PAUSE ?? 2)

const abort = new AbortController()
for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => abort.abort())

/** Size and time of everything in a card: the same twice, and nobody is copying to it any more. */
async function fingerprint(card: string): Promise<string> {
  const names = await readdir(card, { recursive: true })
  const files = await Promise.all(
    names.sort().map(async (name) => {
      const { size, mtimeMs } = await stat(join(card, name))
      return `${name} ${size} ${mtimeMs}`
    }),
  )
  return files.join('\n')
}

async function match(name: string): Promise<void> {
  try {
    const result = await matchShow(join(folder, name, 'show.yaml'), {
      out: join(out, name),
      // Of a card that was matched before, only what has changed is read.
      cache: join(out, '.kept'),
      signal: abort.signal,
    })
    const { matches, kept, within, failures } = result
    console.log(
      `${name}: ${matches.length} matches (${kept.matches} of an earlier run), ${within ? 'within' : 'OUT OF'} tolerance`,
    )
    for (const { message } of failures) console.log(`${name}: not matched: ${message}`)
  } catch (cause) {
    // A card that is wrong must not stop the others.
    if (!isIsochipError(cause)) throw cause
    if (cause.code !== 'cancelled')
      console.log(`${name}: ${cause.message}${cause.hint ? ` (${cause.hint})` : ''}`)
  }
}

await mkdir(folder, { recursive: true })
if (sample) {
  for (const part of ['readings', 'show.yaml'])
    await cp(join(here, '..', 'colourist', part), join(folder, 'day-12', part), { recursive: true })
}
console.log(`looking at ${folder}`)
const seen = new Map<string, string>()
const done = new Map<string, string>()
while (!abort.signal.aborted) {
  const entries = await readdir(folder, { withFileTypes: true })
  for (const { name } of entries.filter((entry) => entry.isDirectory() && !entry.name.startsWith('.'))) {
    // What is being copied may vanish under its temporary name.
    const now = await fingerprint(join(folder, name)).catch(() => undefined)
    if (now === undefined || !now.includes('show.yaml')) continue
    if (seen.get(name) === now && done.get(name) !== now) {
      await match(name)
      done.set(name, now)
    }
    seen.set(name, now)
  }
  if (sample && done.size > 0) break
  await setTimeout(pause, undefined, { signal: abort.signal }).catch(() => undefined)
}
