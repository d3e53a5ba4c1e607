import { type Content, type Markup, markup } from './markup.ts'

export interface NumbersRow {
  /** Index of the patch that the row is about. */
  readonly patch?: number
  readonly name: string
  readonly cells: readonly Content[]
}

/** The numbers behind a picture, folded away. Cells and rows need no end tags in HTML, and there are many. */
export function numbers(
  of: string,
  first: string,
  heads: readonly string[],
  rows: readonly NumbersRow[],
): Markup {
  return markup`<details><summary>Numbers: ${of}</summary><div class="wide" tabindex="0" role="region" aria-label="Numbers: ${of}"><table class="numbers"><thead><tr><th scope="col">${first}${heads.map((head) => markup`<th scope="col">${head}`)}<tbody>${rows.map(
    ({ patch, name, cells }) =>
      markup`<tr${patch !== undefined && markup` data-p="${patch}"`}><th scope="row">${name}${cells.map((cell) => markup`<td>${cell}`)}`,
  )}</table></div></details>`
}

/** A picture with its caption and its numbers. */
export function figure(
  title: string,
  explanation: string,
  content: Content,
  behind?: Content,
  kind = '',
): Markup {
  return markup`<figure${kind !== '' && markup` class="${kind}"`}><figcaption><b>${title}</b><span>${explanation}</span></figcaption>${content}${behind}</figure>`
}
