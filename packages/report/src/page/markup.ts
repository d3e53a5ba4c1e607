/** Text that is markup already. Anything else is escaped when it is put into markup. */
export class Markup {
  readonly text: string
  constructor(text: string) {
    this.text = text
  }
}

export type Content = Markup | string | number | undefined | false | readonly Content[]

const entities: Record<string, string> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
}

function rendered(content: Content): string {
  if (content === undefined || content === false) return ''
  if (content instanceof Markup) return content.text
  if (Array.isArray(content)) return content.map(rendered).join('')
  // Control characters, which no page may hold, become a visible mark.
  return String(content)
    .replace(/[&<>"']/g, (character) => entities[character]!)
    .replace(/[^\P{Cc}\t\n\r]/gu, '�')
}

/**
 * HTML or SVG by template: whatever is put in is escaped, unless it is `Markup` itself. Attribute values have to be
 * quoted in the template.
 */
export function markup(strings: TemplateStringsArray, ...contents: readonly Content[]): Markup {
  let text = strings[0]!
  for (const [i, content] of contents.entries()) text += rendered(content) + strings[i + 1]!
  return new Markup(text)
}
