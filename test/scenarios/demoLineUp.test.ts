import { readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { instructions } from '@isochip/report'
import { beforeAll, expect, test } from 'vitest'
import { turnOfWords } from '../../packages/cli/src/studio/turnOfWords.ts'
import { scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'

interface Round {
  readonly camera: string
  readonly trend: readonly number[]
  readonly within: boolean
  readonly kept: { readonly asked: never; readonly stages: never }
}

/** The advice as somebody types it who reads it: its figures as they are printed, the first of several units. */
function typed({ kept: { asked, stages } }: Round): string[] {
  return instructions(asked, stages, 'full').flatMap(({ group, lines }) => {
    const text = lines.join('  ').replaceAll('−', '-')
    if (group === 'exposure') {
      const [, way, by] = /(open|close) ([\d.]+) stop/.exec(text)!
      return [`exposure=${way === 'open' ? '' : '-'}${by}`]
    }
    const pairs = [...text.matchAll(/([RGB](?:-[RGB])?) ([-+][\d.]+)/g)].map(([, name, by]) => [name!, by!])
    if (group === 'pedestal')
      return [
        `pedestal=${pairs
          .slice(0, 3)
          .map(([, by]) => by)
          .join()}`,
      ]
    return pairs.map(([name, by]) => `${name}=${by}`)
  })
}

const folder = join(scratchFolder('demo-line-up'), 'studio')
beforeAll(async () => {
  // The first turn makes the studio.
  const first = await runCommand('demo', '--out', folder, '--turn', 'cross', 'exposure=0.05')
  expect(first.err).toContain('cross was turned, and has shot')
  expect(first.status).toBe(0)
})

test('somebody who types what is asked has three cameras that agree after three rounds', async () => {
  const trends = new Map<string, readonly number[]>()
  for (let round = 1; round <= 4; round++) {
    const { out, status } = await runCommand('lineup', join(folder, 'show.yaml'), '--once', '--json')
    const told = out
      .split('\n')
      .filter((line) => line !== '')
      .map((line) => JSON.parse(line) as Round)
    for (const one of told) {
      trends.set(one.camera, one.trend)
      if (!one.within) await runCommand('demo', '--out', folder, '--turn', one.camera, ...typed(one))
    }
    if (status === 0) break
  }
  expect([...trends.keys()].toSorted()).toEqual(['crane', 'cross'])
  for (const trend of trends.values()) {
    expect(trend[0]).toBeGreaterThan(3)
    expect(trend.at(-1)).toBeLessThanOrEqual(1)
    expect(trend.length).toBeLessThanOrEqual(4)
  }
})

test('what is no turn is told, and nothing is turned', async () => {
  const state = () => readFileSync(join(folder, 'studio.json'), 'utf8')
  const before = state()
  const { mtimeMs } = statSync(join(folder, 'cross.png'))
  for (const [words, said] of [
    [['boom', 'exposure=1'], 'no camera "boom"'],
    [['cross', 'iris=1'], 'no control "iris"'],
    [['cross', 'exposure=90'], 'expected −4 to 4'],
    [['cross', 'exposure'], 'is no turn'],
  ] as const) {
    const { err, status } = await runCommand('demo', '--out', folder, '--turn', ...words)
    expect(err).toContain(said)
    expect(status).toBe(2)
  }
  expect(state()).toBe(before)
  expect(statSync(join(folder, 'cross.png')).mtimeMs).toBe(mtimeMs)
})

test('turns are typed as the advice prints them', () => {
  expect(turnOfWords(['pedestal=-2,−1.8,+0.3', 'R-G=-0.12', 'R=+3.1'])).toEqual({
    'pedestal R': -2,
    'pedestal G': -1.8,
    'pedestal B': 0.3,
    'R-G': -0.12,
    R: 3.1,
  })
})
