import { spawnSync } from 'node:child_process'

interface Tool {
  readonly commands: readonly string[]
  readonly probe: readonly string[]
  /** What the probe ends with; default 0. */
  readonly status?: number
}

/** Other people's programs that read what we write, and the question that shows whether one is here. */
const tools = {
  ffmpeg: { commands: ['ffmpeg'], probe: ['-version'] },
  ffprobe: { commands: ['ffprobe'], probe: ['-version'] },
  // Without a file it tells how it is used, with status 1.
  libraw: { commands: ['dcraw_emu'], probe: [], status: 1 },
  ociocheck: { commands: ['ociocheck'], probe: ['--help'], status: 1 },
  // It ends with status 1 after its own help text.
  ociobakelut: { commands: ['ociobakelut'], probe: ['--help'], status: 1 },
  // A machine may have several Pythons, each with packages of its own.
  pyopencolorio: { commands: ['python3', '/usr/bin/python3'], probe: ['-c', 'import PyOpenColorIO, numpy'] },
  numpy: { commands: ['python3', '/usr/bin/python3'], probe: ['-c', 'import numpy'] },
  scipy: { commands: ['python3', '/usr/bin/python3'], probe: ['-c', 'import scipy, numpy'] },
  chromium: { commands: ['chromium', 'chromium-browser', 'google-chrome'], probe: ['--version'] },
  redis: { commands: ['redis-server'], probe: ['--version'] },
} as const satisfies Record<string, Tool>

export type ConsumerName = keyof typeof tools

export interface ConsumerTool {
  readonly name: ConsumerName
  /** The command that answered; `undefined` where there is none. */
  readonly command: string | undefined
  /** What was looked for in vain. */
  readonly missing: string
  /** Runs the program; gives its standard output. Throws with its own words when it fails. */
  run(args: readonly string[], input?: Uint8Array | string): Buffer
}

/** The program of that name, looked for once a call. */
export function consumerTool(name: ConsumerName): ConsumerTool {
  const { commands, probe, status: expected = 0 }: Tool = tools[name]
  const command = commands.find((c) => {
    const { status, error } = spawnSync(c, probe, { stdio: 'ignore', timeout: 300_000 })
    return error === undefined && status === expected
  })
  return {
    name,
    command,
    missing: `${name} is not on this machine (tried ${commands.join(', ')})`,
    run(args, input) {
      if (command === undefined) throw new Error(`${name} is not on this machine`)
      const done = spawnSync(command, args, {
        ...(input === undefined ? {} : { input }),
        maxBuffer: 2 ** 30,
      })
      if (done.error !== undefined) throw done.error
      if (done.status !== 0) {
        throw new Error(`${name} ended with status ${done.status}:\n${done.stderr.toString().slice(-2000)}`)
      }
      return done.stdout
    },
  }
}
