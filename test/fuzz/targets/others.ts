import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import type { IncomingMessage, ServerResponse } from 'node:http'
import { connect } from 'node:net'
import { dirname, join } from 'node:path'
import { Readable } from 'node:stream'
import { parse } from 'yaml'
import { parseCorners } from '../../../packages/cli/src/options/parseCorners.ts'
import { parseDate } from '../../../packages/cli/src/options/parseDate.ts'
import { parseSeconds, parseWhole } from '../../../packages/cli/src/options/parseNumber.ts'
import { servePage } from '../../../packages/cli/src/page/servePage.ts'
import { DemoStudio } from '../../../packages/cli/src/studio/demoStudio.ts'
import { studioDesk } from '../../../packages/cli/src/studio/studioDesk.ts'
import { turnOfWords } from '../../../packages/cli/src/studio/turnOfWords.ts'
import { shotsOfPaths } from '../../../packages/show/src/init/shotsOfPaths.ts'
import { showProposal } from '../../../packages/show/src/init/showProposal.ts'
import type { Target } from '../target.ts'
import { bytesOf, textOf } from './samples.ts'

const texts = (list: readonly string[]) => () => Promise.resolve(list.map(bytesOf))

const studios = new Map<string, Promise<DemoStudio>>()

/** Made once a process. */
function studioOf(within: string): Promise<DemoStudio> {
  const before = studios.get(within)
  if (before !== undefined) return before
  const folder = join(within, 'studio')
  mkdirSync(folder, { recursive: true })
  const studio = DemoStudio.open(folder, false)
  studios.set(within, studio)
  return studio
}

const stateOf = (studio: DemoStudio) => join(studio.folder, 'studio.json')

/** What somebody types at a command line, one word a line. */
const words: Readonly<Record<string, (text: string) => unknown>> = {
  corners: parseCorners,
  date: parseDate,
  whole: parseWhole,
  seconds: parseSeconds,
  turn: (text) => turnOfWords([text]),
}

/** A program that answers a request of the page, with what came back. */
function asked(
  desk: ReturnType<typeof studioDesk>,
  bytes: Uint8Array,
): Promise<{ status: number; text: string }> {
  return new Promise((resolve) => {
    let status = 0
    const response = {
      writeHead: (code: number) => {
        status = code
        return response
      },
      end: (text = '') => resolve({ status, text }),
    }
    const request = Object.assign(Readable.from([bytes]), { method: 'POST' })
    desk('/studio', request as unknown as IncomingMessage, response as unknown as ServerResponse)
  })
}

/** What a server of the page says to bytes that somebody sends to it. */
async function served(bytes: Uint8Array, folder: string): Promise<string> {
  const within = join(folder, 'served')
  mkdirSync(within)
  writeFileSync(join(within, 'index.html'), 'the page')
  writeFileSync(join(folder, 'secret.txt'), 'what nobody is served')
  const server = await servePage({ folder: within, index: 'index.html', port: 0, writes: ['/desk'] })
  try {
    const { hostname, port } = new URL(server.address)
    const request = Buffer.from(bytes).toString('latin1').replaceAll('@host', `${hostname}:${port}`)
    return await new Promise((resolve) => {
      const socket = connect(Number(port), hostname)
      let answer = ''
      socket.setEncoding('latin1').on('data', (text) => {
        answer += text
      })
      socket.on('error', () => resolve(answer)).on('close', () => resolve(answer))
      // What comes after the end of a request is another one, or none.
      socket.end(Buffer.from(request, 'latin1'))
    })
  } finally {
    await server.close()
  }
}

export const otherTargets: readonly Target[] = [
  {
    name: 'init: names of frames',
    kind: 'json',
    samples: texts([
      '["jib/deck/0001.png", "jib/deck/0002.png", "rail/deck.tif"]',
      '["A001_1128/A001C001.mov", "A001_1128/A001C002.mov", "B001/B001C001.mov"]',
      '["deck_jib.png", "a \'b\' #c: d.png", "- x.png"]',
    ]),
    run: async (bytes) => {
      let given: unknown
      try {
        given = JSON.parse(textOf(bytes))
      } catch {
        return undefined
      }
      // No file has a name with a zero in it, or without an ending that is looked for.
      const paths = (Array.isArray(given) ? given : []).filter(
        (one): one is string => typeof one === 'string' && /^[^\0]+\.(png|tif|mov)$/.test(one),
      )
      if (paths.length === 0) return undefined
      const shots = shotsOfPaths(paths).map(({ camera, setup }, i) => ({
        camera,
        setup,
        frames: [paths[i]!],
        seen: { chart: 'chart24', confidence: 0.9 },
        others: 0,
        linear: false,
      }))
      const proposed = parse(showProposal('a day', shots)) as {
        cameras: { shots: { frames: string | string[] }[] }[]
      }
      const frames = proposed.cameras.flatMap((camera) => camera.shots.flatMap((shot) => shot.frames))
      const lost = paths.filter((path) => !frames.includes(path))
      if (lost.length > 0) throw new Error(`not in the proposal: ${JSON.stringify(lost).slice(0, 300)}`)
      return proposed
    },
  },
  {
    name: 'words of the command line',
    kind: 'text',
    samples: texts([
      'corners 402,211 1490,236 1478,960 396,930\ndate 2026-03-01\nwhole 65\nseconds 12.5\nturn exposure=0.35\nturn pedestal=-2,-1.8,-2.3\nturn R-G=0.12\n',
    ]),
    run: async (bytes) =>
      textOf(bytes)
        .split('\n')
        .map((line) => {
          const [, name = '', text = ''] = /^(\w+) (.*)$/s.exec(line) ?? []
          try {
            return Object.hasOwn(words, name) ? words[name]!(text) : undefined
          } catch (cause) {
            // The library that reads the command line shows it.
            if ((cause as { code?: unknown }).code === 'commander.invalidArgument') return undefined
            throw cause
          }
        }),
  },
  {
    name: 'studio: how its cameras stand',
    kind: 'json',
    share: 0.5,
    samples: async (folder) => [readFileSync(stateOf(await studioOf(folder)))],
    run: async (bytes, folder) => {
      const studio = await studioOf(dirname(folder))
      const before = readFileSync(stateOf(studio))
      writeFileSync(stateOf(studio), bytes)
      try {
        const states = await studio.states()
        await studio.turn(studio.cameras[0]!, { exposure: 0.1 })
        return [states, await studio.states()]
      } finally {
        writeFileSync(stateOf(studio), before)
      }
    },
  },
  {
    name: 'studio: requests of its page',
    kind: 'json',
    share: 0.5,
    samples: async (folder) => {
      const [camera] = (await studioOf(folder)).cameras
      return [
        { camera, turn: { exposure: 0.05, R: 1 } },
        { camera, asked: 'gains' },
      ].map((one) => bytesOf(JSON.stringify(one)))
    },
    run: async (bytes, folder) => {
      const studio = await studioOf(dirname(folder))
      const before = readFileSync(stateOf(studio))
      const turn = {
        exposure: 0.1,
        red: 1.1,
        blue: 1,
        matrix: { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 },
        pedestal: [0, 0, 0],
      } as const
      try {
        const desk = studioDesk(
          studio,
          () => turn,
          () => undefined,
        )
        const { status, text } = await asked(desk, bytes)
        if (status >= 500) throw new Error(`status ${status}: ${text.slice(0, 300)}`)
        return await studio.states()
      } finally {
        writeFileSync(stateOf(studio), before)
      }
    },
  },
  {
    name: 'page server: requests',
    kind: 'text',
    samples: texts([
      'GET / HTTP/1.1\r\nHost: @host\r\nConnection: close\r\n\r\n',
      'GET /index.html HTTP/1.1\r\nHost: @host\r\nAccept: text/html\r\nConnection: close\r\n\r\n',
      'GET /../secret.txt HTTP/1.1\r\nHost: @host\r\nConnection: close\r\n\r\n',
      'GET //?a=%20%zz HTTP/1.1\r\nHost: @host\r\nConnection: close\r\n\r\n',
      'POST /desk HTTP/1.1\r\nHost: @host\r\nOrigin: http://@host\r\nContent-Length: 2\r\nConnection: close\r\n\r\n{}',
    ]),
    run: async (bytes, folder) => {
      const answer = await served(bytes, folder)
      if (answer.includes('what nobody is served')) throw new Error('served what is outside its folder')
      return answer
    },
  },
]
