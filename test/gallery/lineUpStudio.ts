import {
  builtinChart,
  lineUp,
  type Readings,
  resolveEncoding,
  resolvePrimaries,
  type Turn,
  type TurnGroup,
  targetFromCamera,
} from '@isochip/core'
import { builtInTerms, drawStudio, sensorNames, studioCamera } from '@isochip/synthetic'

/**
 * Lines up cameras of the simulated studio, round by round; what is known of makers' matrices leaves the camera's own
 * sensor out. Usage: lineUpStudio.ts [CAMERAS] [FIRST]
 */
const cameras = Number(process.argv[2] ?? 100)
const first = Number(process.argv[3] ?? 0)
const rounds = 6
/** LAZY=1: somebody does the first half of the advice only, then nothing, then all. */
const done = process.env.LAZY === undefined ? [] : ['first', 'nothing']
const none = { rg: 0, rb: 0, gr: 0, gb: 0, br: 0, bg: 0 }
/** CHART=buoy47: one with a light trap; TRAP=no: that is covered. */
const chart = builtinChart(process.env.CHART === 'buoy47' ? 'buoy47' : 'chart24')
const covered = process.env.TRAP === 'no' ? chart.patches.filter(({ role }) => role === 'true-black') : []
const seenOf = ({ patches }: Readings): Readings => ({
  patches: patches.filter(({ patch }) => covered.every(({ name }) => name !== patch)),
})
const encoding = resolveEncoding('bt709')
const working = resolvePrimaries('bt709')
/** FAULT=gamma, flare, pedestal or both (of flare and pedestal): cameras with just that fault beside what is off at all of them; none: without any of the three. */
const faults = {
  none: { gamma: 1, flare: 0.004, pedestal: [0, 0, 0] },
  gamma: { gamma: 1.12, flare: 0.004, pedestal: [0, 0, 0] },
  flare: { gamma: 1, flare: 0.024, pedestal: [0, 0, 0] },
  pedestal: { gamma: 1, flare: 0.004, pedestal: [0.03, 0.03, 0.03] },
  both: { gamma: 1, flare: 0.018, pedestal: [-0.02, -0.02, -0.02] },
} as const
const fault = faults[(process.env.FAULT ?? '') as keyof typeof faults] ?? {}
const asked = new Map<string, number>()
/** STEPS=1: what becomes of the camera where somebody stops after each step that is told, in ΔE00 against the step before. */
const risenBy: number[] | undefined = process.env.STEPS === undefined ? undefined : []
const partOf = (turn: Turn, groups: readonly TurnGroup[]): Turn => {
  const { exposure, red, blue, matrix, pedestal, flare = 0, gamma = 1 } = turn
  const has = (group: TurnGroup) => groups.includes(group)
  return {
    exposure: has('exposure') ? exposure : 0,
    red: has('gains') ? red : 1,
    blue: has('gains') ? blue : 1,
    matrix: has('matrix') ? matrix : none,
    pedestal: has('pedestal') ? pedestal : [0, 0, 0],
    flare: has('flare') ? flare : 0,
    gamma: has('gamma') ? gamma : 1,
  }
}
const priors = new Map(sensorNames.map((sensor) => [sensor, builtInTerms(sensor)]))
const table: { at: number[]; lut: number[] }[] = []
const begun = process.cpuUsage()
for (let number = first; number < first + cameras; number++) {
  const { camera, reference } = drawStudio(number)
  const target = targetFromCamera(chart, seenOf(studioCamera(reference, chart).shoot()), encoding, working)
  const studio = studioCamera({ ...camera, ...fault }, chart)
  const earlier: {
    readings: ReturnType<typeof studio.shoot>
    asked: Turn
    done?: number
    touched?: boolean
  }[] = []
  const row = { at: [] as number[], lut: [] as number[] }
  try {
    for (let round = 0; round < rounds; round++) {
      const readings = seenOf(studio.shoot())
      const input = { chart, readings, encoding, target, working }
      const {
        turn,
        now,
        advice,
        withLut,
        beliefs,
        since,
        done: known,
        touched,
      } = lineUp(input, earlier, { prior: priors.get(camera.sensor)! })
      row.at.push(now)
      for (const { group } of advice.stages)
        if (group === 'flare' || group === 'gamma')
          asked.set(`${group} in round ${round + 1}`, (asked.get(`${group} in round ${round + 1}`) ?? 0) + 1)
      row.lut.push(withLut)
      let before = now
      for (const [i, { together }] of risenBy === undefined ? [] : advice.stages.entries()) {
        if (together) continue
        const copy = studioCamera({ ...camera, ...fault, noise: 0 }, chart)
        for (const { asked: past } of earlier) copy.turn(past)
        copy.turn(
          partOf(
            turn,
            advice.stages.slice(0, i + 1).map(({ group }) => group),
          ),
        )
        const stopped = lineUp({ ...input, readings: copy.shoot() }).now
        risenBy!.push(stopped - before)
        before = stopped
      }
      if (process.env.SHOW !== undefined)
        console.log(
          number,
          since,
          known.join(),
          beliefs.map(({ misfit }) => misfit.toFixed(2)).join(),
          camera.gains,
          beliefs.map((b) => b.probability.toFixed(2)),
          advice.now.toFixed(2),
          advice.expected.toFixed(2),
          JSON.stringify(advice.stages, (_, v) => (typeof v === 'number' ? Number(v.toFixed(2)) : v)),
          withLut.toFixed(2),
        )
      if (done[round] !== 'nothing')
        studio.turn(done[round] === 'first' ? { ...turn, red: 1, blue: 1, matrix: none } : turn)
      for (const [i, groups] of known.entries()) {
        earlier[i]!.done = groups
        earlier[i]!.touched = touched[i]!
      }
      earlier.push({ readings, asked: turn })
    }
    table.push(row)
  } catch (error) {
    console.log(number, (error as Error).message)
  }
}
console.log('asked for', Object.fromEntries(asked))
if (risenBy !== undefined)
  console.log(
    `${risenBy.length} steps: ${risenBy.filter((rise) => rise > 0.05).length} made it worse by more than 0.05, most ${Math.max(...risenBy).toFixed(2)}`,
  )
const seconds = (process.cpuUsage(begun).user / 1e6).toFixed(1)
const column = (round: number) => table.map(({ at }) => at[round]!).sort((a, b) => a - b)
const q = (values: number[], share: number) =>
  values[Math.min(Math.floor(share * values.length), values.length - 1)]!
if (process.env.ROWS !== undefined)
  for (const [i, { at, lut }] of table.entries()) console.log('row', first + i, JSON.stringify({ at, lut }))
console.log(`${table.length} cameras, ${seconds} s of processor time`)
for (let round = 0; round < rounds; round++) {
  const values = column(round)
  const right = table.filter(
    ({ at, lut }) => at[round]! <= Math.max(1, lut[round]! > 0.8 ? lut[round]! + 0.2 : 0),
  )
  console.log(
    `after ${round} turns: mean ${(values.reduce((a, b) => a + b, 0) / values.length).toFixed(3)}, 95 % ${q(values, 0.95).toFixed(2)}, worst ${values.at(-1).toFixed(2)}; lined up ${((100 * right.length) / table.length).toFixed(1)} %; LUT ${(table.reduce((s, { lut }) => s + lut[round]!, 0) / table.length).toFixed(3)}`,
  )
}
const worse = table.filter(({ at }) => at.at(-1) > at[0]!).length
const steps = table.flatMap(({ at }, i) =>
  at.slice(2).map((v, k) => ({ i: i + first, k: k + 2, rise: v - at[k + 1]! })),
)
const risen = steps.filter(({ rise }) => rise > 0.15)
const firstWorse = table.filter(({ at }) => at[1]! > at[0]!).length
console.log(
  `ended worse: ${worse}; first turn made worse: ${firstWorse}; largest rise later: ${Math.max(...steps.map(({ rise }) => rise)).toFixed(2)}; above 0.15: ${risen.length}`,
  risen.slice(0, 10),
)
