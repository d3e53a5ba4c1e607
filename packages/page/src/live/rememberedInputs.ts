import type { ShowEncoding } from '@isochip/show'
import { standardOf } from '../match/standardOf.ts'
import { type SignalForm, signalMatrices } from './form/signalForm.ts'
import type { VideoInput } from './videoInputs.ts'

/** By what the form of a signal is known. */
export type FormSource = 'assumed' | 'browser' | 'bars' | 'chart' | 'hand'

/** What is known of an input from the last time. */
export interface RememberedInput {
  readonly label: string
  readonly camera: string
  readonly encoding: ShowEncoding
  readonly form: SignalForm
  readonly source: FormSource
}

const place = 'isochip inputs'

/** By the input's id, else by its name where it is the only one of that name. */
export function rememberedInput({ id, label }: VideoInput): RememberedInput | undefined {
  const all = load()
  const named = Object.values(all).filter((one) => one.label === label)
  return all[id] ?? (named.length === 1 ? named[0] : undefined)
}

export function rememberInput({ id, label }: VideoInput, known: Omit<RememberedInput, 'label'>): void {
  try {
    localStorage.setItem(place, JSON.stringify({ ...load(), [id]: { label, ...known } }))
  } catch {
    // Storage is full or forbidden: the input is checked again next time.
  }
}

function load(): Readonly<Record<string, RememberedInput>> {
  try {
    const all = JSON.parse(localStorage.getItem(place) ?? '{}') as Record<string, RememberedInput>
    // Somebody else may have written there.
    return Object.fromEntries(
      Object.entries(all).filter(
        ([, one]) =>
          typeof one?.label === 'string' &&
          typeof one.camera === 'string' &&
          isEncoding(one.encoding) &&
          signalMatrices.includes(one.form?.matrix) &&
          ['narrow', 'full'].includes(one.form?.range),
      ),
    )
  } catch {
    return {}
  }
}

function isEncoding(encoding: ShowEncoding): boolean {
  try {
    standardOf(encoding)
    return true
  } catch {
    return false
  }
}
