import { IsochipError } from '@isochip/core'
import type { StudioSettings } from '@isochip/synthetic'
import { type Control, controls } from './panel.ts'

/** How a simulated camera stands. */
export interface SeatState {
  readonly settings: StudioSettings
  /** What its panel says: the sum of all that was turned since it came out of the case. */
  readonly panel: Readonly<Record<Control, number>>
  /** How often it has shot. */
  readonly shots: number
}

export interface StudioFile {
  readonly isochip: 'studio/1'
  readonly cameras: Readonly<Record<string, SeatState>>
}

/**
 * How the cameras of a simulated studio stand, as its file has it.
 *
 * @param cameras that have to be in it
 * @param file for messages
 * @throws IsochipError `usage` for a text that does not say it
 */
export function parseStudioFile(text: string, cameras: readonly string[], file: string): StudioFile {
  let content: unknown
  try {
    content = JSON.parse(text)
  } catch {
    // Judged with all others below.
  }
  if (isStudioFile(content, cameras)) return content
  throw new IsochipError('usage', 'the file does not say how the cameras of the studio stand', {
    hint: 'give it back as it was, another folder, or --force to begin anew',
    place: { file },
  })
}

function isStudioFile(content: unknown, cameras: readonly string[]): content is StudioFile {
  if (!isRecord(content) || content.isochip !== 'studio/1' || !isRecord(content.cameras)) return false
  const states = content.cameras
  return (
    Object.keys(states).length === cameras.length && cameras.every((camera) => isSeatState(states[camera]))
  )
}

function isSeatState(state: unknown): boolean {
  if (!isRecord(state) || !isRecord(state.settings) || !isRecord(state.panel)) return false
  const { settings, panel, shots } = state
  const { exposure, red, blue, matrix, pedestal } = settings
  return (
    [exposure, red, blue].every(isNumber) &&
    isList(matrix, (row) => isList(row, isNumber)) &&
    isList(pedestal, isNumber) &&
    controls.every((control) => isNumber(panel[control])) &&
    Number.isSafeInteger(shots) &&
    (shots as number) >= 0
  )
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

/** Beyond what any control comes to in a day of turns, nothing that was simulated would be a number. */
const most = 1e6
const isNumber = (value: unknown): boolean => typeof value === 'number' && Math.abs(value) <= most

const isList = (value: unknown, each: (one: unknown) => boolean): boolean =>
  Array.isArray(value) && value.length === 3 && value.every(each)
