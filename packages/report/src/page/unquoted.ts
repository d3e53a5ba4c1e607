import { Markup } from './markup.ts'

/**
 * The same markup without the quotes that HTML does without: those round attribute values of letters, digits and some
 * signs. A page has a hundred thousand of them. Quotes in text are safe, since `markup` has them escaped.
 */
export const unquoted = ({ text }: Markup): Markup =>
  new Markup(
    text.replace(/="([\w#.%,():;-]+)"(\/?)/g, (_, value: string, end: string) =>
      // A slash right after a bare value would belong to it.
      end === '' ? `=${value}` : `=${value} /`,
    ),
  )
