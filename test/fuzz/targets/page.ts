import type { Target } from '../target.ts'
import { stills, worked } from './pictures.ts'
import { bytesOf, chartText, clfTexts, otherShows, showText, tableText, textOf } from './samples.ts'

/*
 * What the match page reads in a worker of the browser, here in Node: bytes that its own decoders take, show files and
 * what they name, what it remembers. What the browser decodes (JPEG, WebP, clips) is the browser's, and refused here.
 */

type Named = { readonly path: string; readonly file: Blob }
type Files = Readonly<Record<string, Blob>>

/** The page is checked with the types of the browser, not with those of Node: its files are loaded by their names. */
const loaded = (file: string) => import(new URL(`../../../packages/page/src/${file}`, import.meta.url).href)
const decodeFile = async (named: Named) =>
  (await loaded('match/worker/decodeFile.ts')).decodeFile(named) as Promise<Parameters<typeof worked>[0]>
const openShow = async (ask: { text: string; name: string }) =>
  (await loaded('match/worker/openShow.ts')).openShow(ask) as Promise<{ show: object }>
const planOf = async (parts: { show: object; files: Files }) =>
  (await loaded('match/worker/planOf.ts')).planOf(parts) as Promise<unknown>

const blob = (bytes: Uint8Array) => new Blob([Uint8Array.from(bytes)])
const filesOfShow = (): Files => ({
  'chart.json': blob(bytesOf(chartText())),
  'table.cube': blob(bytesOf(tableText())),
})

const rememberedText = JSON.stringify({
  a1: {
    label: 'Input 1',
    camera: 'jib',
    encoding: { transfer: 'bt709', primaries: 'bt709' },
    form: { matrix: 'bt709', range: 'narrow' },
    source: 'bars',
  },
  a2: {
    label: 'Input 2',
    camera: 'rail',
    encoding: 'hlg',
    form: { matrix: 'bt2020', range: 'full' },
    source: 'hand',
  },
})

export const pageTargets: readonly Target[] = [
  {
    name: 'page: still',
    kind: 'binary',
    samples: stills,
    megabytes: 3000,
    run: async (bytes) => worked(await decodeFile({ path: 'a.png', file: blob(bytes) })),
  },
  {
    name: 'page: show',
    kind: 'yaml',
    samples: () => Promise.resolve([showText, ...otherShows].map(bytesOf)),
    run: async (bytes) => {
      const { show } = await openShow({ text: textOf(bytes), name: 'show.yaml' })
      return await planOf({ show, files: filesOfShow() })
    },
  },
  {
    name: 'page: table',
    kind: 'xml',
    samples: () => Promise.resolve([tableText(5), ...clfTexts()].map(bytesOf)),
    run: async (bytes) => {
      const { show } = await openShow({ text: showText, name: 'show.yaml' })
      return await planOf({ show, files: { ...filesOfShow(), 'table.cube': blob(bytes) } })
    },
  },
  {
    name: 'page: remembered inputs',
    kind: 'json',
    samples: () => Promise.resolve([bytesOf(rememberedText)]),
    run: async (bytes) => {
      const { rememberedInput } = await loaded('live/rememberedInputs.ts')
      const { standardOf } = await loaded('match/standardOf.ts')
      return withStorage(textOf(bytes), () =>
        ['a1', 'a2', 'a3'].map((id, i) => {
          const known = rememberedInput({ id, label: `Input ${i + 1}` })
          // What the page does with it at once.
          return known && [known.camera.trim(), standardOf(known.encoding)]
        }),
      )
    },
  },
]

function withStorage<T>(text: string, run: () => T): T {
  const before = Object.getOwnPropertyDescriptor(globalThis, 'localStorage')
  Object.defineProperty(globalThis, 'localStorage', {
    value: { getItem: () => text },
    configurable: true,
  })
  try {
    return run()
  } finally {
    if (before === undefined) Reflect.deleteProperty(globalThis, 'localStorage')
    else Object.defineProperty(globalThis, 'localStorage', before)
  }
}
