import { expect, test } from 'vitest'
import { Progress } from '../src/progress.ts'
import type { Terminal } from '../src/terminal.ts'

function terminal(live: boolean) {
  const lines: string[] = []
  const of: Terminal = {
    out: () => undefined,
    err: (text) => lines.push(text),
    colour: false,
    errColour: false,
    live,
    width: 80,
  }
  return { of, lines }
}

test('one line, with the time left, cleared at the end', () => {
  const { of, lines } = terminal(true)
  let now = 0
  const progress = new Progress(of, () => now)
  progress.on({ type: 'started', shots: 2, setups: 1, matches: 2 })
  now = 10_000
  progress.on({ type: 'shot-read', camera: 'wide', setup: 'day', cached: false, done: 1, shots: 2 })
  progress.on({ type: 'shot-read', camera: 'cross', setup: 'day', cached: true, done: 2, shots: 2 })
  progress.on({
    type: 'match-finished',
    camera: 'wide',
    setup: 'day',
    cached: false,
    done: 1,
    matches: 2,
  })
  progress.on({
    type: 'match-finished',
    camera: 'cross',
    setup: 'day',
    cached: false,
    done: 2,
    matches: 2,
  })
  progress.end()
  expect(lines[0]).toBe(`\r\u001b[K${'·'.repeat(24)}   0 %  reading 2 charts`)
  // A quarter took 10 s: the other three take 30.
  expect(lines[1]).toBe(`\r\u001b[K${'━'.repeat(6)}${'·'.repeat(18)}  25 %, 30 s left  read day, wide`)
  // What was kept from an earlier run says nothing of the rest: one took 10 s, two are left.
  expect(lines[2]).toBe(`\r\u001b[K${'━'.repeat(12)}${'·'.repeat(12)}  50 %, 20 s left  read day, cross`)
  expect(lines[3]).toBe(`\r\u001b[K${'━'.repeat(18)}${'·'.repeat(6)}  75 %, 5 s left  matched day, wide`)
  expect(lines[4]).toBe(`\r\u001b[K${'━'.repeat(24)} 100 %  matched day, cross`)
  expect(lines[5]).toBe('\r\u001b[K')
})

test('nothing where nobody looks', () => {
  const { of, lines } = terminal(false)
  const progress = new Progress(of)
  progress.on({ type: 'started', shots: 4, setups: 1, matches: 4 })
  progress.on({ type: 'shot-read', camera: 'wide', setup: 'day', cached: false, done: 1, shots: 4 })
  progress.end()
  expect(lines).toEqual([])
})
