import { sentences } from '../sentences.ts'
import { fault } from '../state.ts'

/** What went wrong last, and what to do about it. */
export function FaultNote() {
  const now = fault.value
  if (now === undefined) return null
  return (
    <p role="alert" class="note out">
      {sentences(now)}
    </p>
  )
}
