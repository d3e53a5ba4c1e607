import { parseShow } from '@isochip/show'
import { parse } from 'yaml'
import type { Answers, Ask } from '../messages.ts'

/** A show file's content, once it is known to be one. @throws IsochipError `show-invalid`, with line and column */
export async function openShow({ text, name }: Extract<Ask, { kind: 'open' }>): Promise<Answers['open']> {
  await parseShow(text, name)
  return { show: parse(text) as object }
}
