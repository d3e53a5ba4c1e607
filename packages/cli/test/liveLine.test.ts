import { expect, test } from 'vitest'
import type { Terminal } from '../src/terminal.ts'
import { liveLine } from '../src/text/liveLine.ts'

function lineOn(live: boolean) {
  const lines: string[] = []
  const terminal: Terminal = {
    out: () => undefined,
    err: (text) => lines.push(text),
    colour: false,
    errColour: false,
    live,
    width: 12,
  }
  return { ...liveLine(terminal), lines }
}

test('is drawn anew, no wider than the terminal, and cleared at the end', () => {
  const { draw, end, lines } = lineOn(true)
  draw('looking for the chart')
  draw('sampling')
  end()
  end()
  expect(lines).toEqual(['\r\u001b[Klooking for', '\r\u001b[Ksampling', '\r\u001b[K'])
})

test('is nothing where nobody looks', () => {
  const { draw, end, lines } = lineOn(false)
  draw('looking for the chart')
  end()
  expect(lines).toEqual([])
})
