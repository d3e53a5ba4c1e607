import { showSentence } from '@isochip/report'
import type { SetupReadings } from '@isochip/show'
import { batch, effect, signal } from '@preact/signals'
import { type Failure, type MatchedShots, shotKey } from './messages.ts'
import { numberOf } from './numberOf.ts'
import {
  cameras,
  choices,
  fault,
  type MatchedShow,
  matched,
  parts,
  reading,
  readingsAtHand,
} from './state.ts'
import { ask, failureOf } from './workers.ts'

/** What one worker matches at a time: a camera in a setup, or a whole setup where all of its cameras make the target. */
interface Job {
  /** What is matched. */
  readonly slot: string
  /** Of all that the result depends on: where it is the same, so is the result. */
  readonly key: string
  readonly show: object
  readonly readings: readonly SetupReadings[]
  readonly rounds: Readonly<Record<string, Shot['rounds']>>
}

type Shot = ReturnType<typeof shotsOf>[number]
interface Content {
  readonly target: { readonly camera?: string }
  readonly output: { readonly encoding?: unknown }
  readonly cameras: readonly {
    readonly id: string
    readonly shots: readonly { readonly setup: string; readonly borrow?: string }[]
  }[]
}

const shotsOf = () => cameras.value.flatMap(({ id, shots }) => shots.map((shot) => ({ ...shot, camera: id })))

function jobsAtHand(): readonly Job[] {
  const readings = readingsAtHand()
  const shots = new Map(shotsOf().map((shot) => [shotKey(shot.camera, shot.setup), shot]))
  const whole = parts.value.show as Content
  const { title: _, output, ...show } = whole as Content & { readonly title: string }
  // Which files the LUTs become says nothing of the match.
  const judged = { ...show, output: output.encoding === undefined ? {} : { encoding: output.encoding } }
  const job = (slot: string, needed: readonly SetupReadings[], content: object): Job => {
    const own = needed.map(({ camera, setup }) => shots.get(shotKey(camera, setup))!)
    const marks = own.map(({ read, rounds }) => [numberOf(read!), numberOf(rounds)])
    return {
      slot,
      key: JSON.stringify([slot, content, numberOf(parts.value.files), marks]),
      show: content,
      readings: needed,
      rounds: Object.fromEntries(own.map(({ camera, setup, rounds }) => [shotKey(camera, setup), rounds])),
    }
  }
  const { target } = choices.value
  const waiting = new Set(
    [...shots.values()].filter(({ state }) => state === 'reading').map((one) => one.setup),
  )
  if (target === 'consensus') {
    // Each of a setup's cameras moves the target of all.
    return [...new Set(readings.map(({ setup }) => setup))].flatMap((setup) => {
      const needed = readings.filter((one) => one.setup === setup)
      return needed.length < 2 || waiting.has(setup) ? [] : [job(setup, needed, judged)]
    })
  }
  const reference = target === 'camera' ? whole.target.camera : undefined
  return readings.flatMap((one) => {
    const aim = readings.find(({ camera, setup }) => camera === reference && setup === one.setup)
    if (one.camera === reference || (reference !== undefined && aim === undefined)) return []
    const content = {
      ...judged,
      cameras: whole.cameras
        .filter(({ id }) => id === one.camera || id === reference)
        .map((camera) => ({
          ...camera,
          shots: camera.shots.filter(
            ({ setup, borrow }) => setup === one.setup || (camera.id === one.camera && borrow === one.setup),
          ),
        })),
    }
    return [job(shotKey(one.camera, one.setup), aim === undefined ? [one] : [aim, one], content)]
  })
}

/** While a shot is read again, what was matched before stays in sight. */
function slotsAtHand(): readonly string[] {
  const all = shotsOf()
  const beingRead = new Set(all.filter(({ state }) => state === 'reading').map(({ setup }) => setup))
  const order =
    choices.value.target === 'consensus'
      ? [...new Set(all.map(({ setup }) => setup))].map((setup) => ({ slot: setup, setup }))
      : all.map(({ camera, setup }) => ({ slot: shotKey(camera, setup), setup }))
  const wanted = new Set(jobs.map(({ slot }) => slot))
  return order
    .filter(({ slot, setup }) => wanted.has(slot) || (beingRead.has(setup) && results.has(slot)))
    .map(({ slot }) => slot)
}

/** Are matches being worked out? */
export const matching = signal(false)
const results = new Map<string, { readonly key: string; readonly shots: MatchedShots }>()
const asked = new Map<string, string>()
let jobs: readonly Job[] = []
/** What has a result that still stands, or will have one, in the order of the cameras. */
let slots: readonly string[] = []
/** What went wrong here last: others tell of other things. */
let told: Failure | undefined
let due: ReturnType<typeof setTimeout> | undefined
/** Milliseconds between two pictures of what is done: two hundred results are not drawn one by one. */
const every = 150

/** What is matched by now, in the order of the cameras; the sentence comes when nothing is missing. */
function show(): void {
  due = undefined
  const done = slots.flatMap((slot) => results.get(slot)?.shots ?? [])
  const complete = jobs.every(({ slot, key }) => results.get(slot)?.key === key)
  const judged = done.flatMap((shots) => shots.judged)
  const failed = [
    ...new Map(done.flatMap((shots) => shots.failed).map((one) => [JSON.stringify(one), one])).values(),
  ]
  const are = (state: string) => judged.filter((one) => one.state === state)
  const next: MatchedShow = {
    judged,
    failed,
    ...(complete && reading.value === 0
      ? {
          sentence: showSentence({
            judged: judged.length,
            out: are('out'),
            doubtful: are('doubtful'),
            failed: failed.length,
          }),
        }
      : {}),
  }
  batch(() => {
    matching.value = !complete
    matched.value = done.length === 0 ? undefined : next
  })
}

function soon(wait: number): void {
  if (due === undefined) due = setTimeout(show, wait)
}

async function work({ slot, key, show: content, readings, rounds }: Job): Promise<void> {
  asked.set(slot, key)
  try {
    const shots = await ask<'match'>(
      { kind: 'match', parts: { show: content, files: parts.value.files }, readings, rounds },
      { first: true },
    )
    if (asked.get(slot) !== key) return
    results.set(slot, { key, shots })
    if (told !== undefined && fault.value === told) fault.value = undefined
  } catch (cause) {
    if (asked.get(slot) !== key) return
    results.set(slot, { key, shots: { judged: [], failed: [] } })
    told = failureOf(cause)
    fault.value = told
  }
  soon(jobs.length > 8 ? every : 0)
}

let run = 0

/** Whatever has been read is matched, as soon as what it is matched to has been read too. */
effect(() => {
  jobs = jobsAtHand()
  void reading.value
  const mine = ++run
  slots = slotsAtHand()
  for (const slot of results.keys()) if (!slots.includes(slot)) results.delete(slot)
  matching.value = jobs.some(({ slot, key }) => results.get(slot)?.key !== key)
  soon(0)
  // A name that is being typed is not worth a match for each of its letters.
  setTimeout(() => {
    if (mine !== run) return
    for (const job of jobs)
      if (results.get(job.slot)?.key !== job.key && asked.get(job.slot) !== job.key) void work(job)
  }, 30)
})
