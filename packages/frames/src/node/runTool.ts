import { spawn } from 'node:child_process'
import { given, IsochipError } from '@isochip/core'

export interface ToolResult {
  readonly status: number | null
  readonly stdout: Buffer
  /** The last lines of what the program had to say. */
  readonly stderr: string
}

/** A program that does not answer within this time has hung: ten times what a UHD frame was seen to take. */
const longestMs = 120_000

export interface ToolOptions {
  /** For messages. */
  readonly file: string
  /** Bytes of output after which it is stopped; memory is reserved for so many. */
  readonly limit: number
  /** What may help where it has hung. */
  readonly hint?: string
  /** What helps where there is no such program. Default for ffmpeg. */
  readonly install?: string
  /** Where it runs. Default here. */
  readonly folder?: string
  /** Takes the output as it comes; nothing of it is kept then, and the program has hung when it is silent for so long. */
  readonly onOutput?: (text: string) => void
  readonly signal?: AbortSignal
}

const installFfmpeg =
  'install ffmpeg (with ffprobe) and see that it is on the PATH, or save the frame as a 16-bit PNG or TIFF'

/**
 * Runs a program of the system without a shell, so that no character of a file name means anything to anybody.
 *
 * @throws IsochipError `tool-missing` when there is no such program; `frame-unreadable` when it hangs or floods; the
 *   signal's own error when that ends it
 */
export function runTool(
  tool: string,
  args: readonly string[],
  { file, limit, hint, install = installFfmpeg, folder, onOutput, signal }: ToolOptions,
): Promise<ToolResult> {
  return new Promise((resolve, reject) => {
    const child = spawn(tool, args, {
      shell: false,
      stdio: ['ignore', 'pipe', 'pipe'],
      windowsHide: true,
      killSignal: 'SIGKILL',
      ...given({ cwd: folder, signal }),
    })
    const out = Buffer.allocUnsafeSlow(limit)
    let size = 0
    let stderr = ''
    let stopped: string | undefined
    const stop = (why: string) => {
      stopped ??= why
      child.kill('SIGKILL')
    }
    const timer = setTimeout(() => stop(`${tool} gave no answer in ${longestMs / 1000} s`), longestMs)
    child.stdout.on('data', (chunk: Buffer) => {
      if (onOutput !== undefined) {
        timer.refresh()
        onOutput(chunk.toString())
      } else if (size + chunk.length > limit) stop(`${tool} gave more than the ${limit} bytes expected`)
      else size += chunk.copy(out, size)
    })
    child.stderr.on('data', (chunk: Buffer) => {
      stderr = (stderr + chunk.toString()).slice(-4000)
    })
    child.on('error', (cause: NodeJS.ErrnoException) => {
      clearTimeout(timer)
      if (signal?.aborted) {
        reject(cause)
        return
      }
      reject(
        cause.code === 'ENOENT'
          ? new IsochipError('tool-missing', `${tool} is not installed; it is needed to read this file`, {
              hint: install,
              place: { file },
              cause,
            })
          : new IsochipError('tool-missing', `${tool} cannot be started: ${cause.message}`, {
              place: { file },
              cause,
            }),
      )
    })
    child.on('close', (status) => {
      clearTimeout(timer)
      if (stopped === undefined) resolve({ status, stdout: out.subarray(0, size), stderr: stderr.trim() })
      else
        reject(
          new IsochipError('frame-unreadable', stopped, {
            hint: hint ?? 'the file may be damaged: play it, or save the frame as a 16-bit PNG or TIFF',
            place: { file },
          }),
        )
    })
  })
}
