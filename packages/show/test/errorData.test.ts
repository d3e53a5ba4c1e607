import { IsochipError } from '@isochip/core'
import { describe, expect, test } from 'vitest'
import { errorData, errorOf } from '../src/workers/errorData.ts'

/** Through a structured clone, as from thread to thread. */
const crossed = (error: unknown) => errorOf(structuredClone(errorData(error)))

describe('an error that crosses to another thread', () => {
  test('is what it was, and so are the errors behind it', () => {
    const system = Object.assign(new Error('no such file'), { code: 'ENOENT' })
    const decoder = new IsochipError('frame-unreadable', 'cut short', {
      hint: 'copy it again',
      cause: system,
    })
    const place = { file: 'day.mov', camera: 'wide' }
    const found = crossed(new IsochipError('clipped', 'all of it', { place, cause: decoder }))
    expect(found).toBeInstanceOf(IsochipError)
    expect(found).toMatchObject({ code: 'clipped', message: 'all of it', place })
    expect(found.cause).toBeInstanceOf(IsochipError)
    expect(found.cause).toMatchObject({ code: 'frame-unreadable', hint: 'copy it again', place: {} })
    expect((found.cause as Error).cause).toMatchObject({ code: 'ENOENT', message: 'no such file' })
  })

  test('a fault of our own keeps its trace', () => {
    const bug = new TypeError('x is undefined')
    expect(crossed(bug)).toMatchObject({ name: 'TypeError', message: bug.message, stack: bug.stack })
    expect(crossed(bug)).not.toBeInstanceOf(IsochipError)
    expect(crossed('a text')).toMatchObject({ message: 'a text' })
  })

  test('several in one stay several; a circle of causes ends', () => {
    const several = new IsochipError('usage', 'two', {
      cause: new AggregateError([new Error('a'), new Error('b')]),
    })
    expect((crossed(several).cause as AggregateError).errors).toMatchObject([
      { message: 'a' },
      { message: 'b' },
    ])
    const round = new Error('round')
    round.cause = round
    expect(crossed(round).message).toBe('round')
  })
})
