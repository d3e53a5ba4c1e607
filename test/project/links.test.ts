import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { markdownFiles, root } from './support/trackedFiles.ts'

/** Prose alone: links in fenced code are no links. */
function prose(path: string): string {
  return readFileSync(new URL(path, root), 'utf8').replace(/^(```|~~~)[\s\S]*?^\1/gm, '')
}

/** The anchor that a heading gets: lower case, spaces to dashes, punctuation away; a repeated one is numbered. */
function anchors(path: string): Set<string> {
  const seen = new Map<string, number>()
  return new Set(
    [...prose(path).matchAll(/^#+ +(.+?) *$/gm)].map(([, title]) => {
      const plain = title!.replace(/\[([^\]]*)\]\([^)]*\)/g, '$1').replace(/[`*]/g, '')
      const slug = plain
        .toLowerCase()
        .replace(/[^\p{L}\p{N}\s_-]/gu, '')
        .replace(/\s/g, '-')
      const times = seen.get(slug) ?? 0
      seen.set(slug, times + 1)
      return times === 0 ? slug : `${slug}-${times}`
    }),
  )
}

describe.each(markdownFiles)('%s', (path) => {
  const links = [...prose(path).matchAll(/\]\(([^)\s]+)(?:\s+"[^"]*")?\)/g)].map((match) => match[1]!)

  it('has links that lead somewhere', () => {
    for (const link of links.filter((target) => !/^[a-z]+:/.test(target))) {
      const [file, anchor] = link.split('#') as [string, string | undefined]
      const target =
        file === '' ? path : decodeURI(new URL(file, new URL(path, 'file:///')).pathname.slice(1))
      expect(existsSync(new URL(target, root)), `${link} in ${path}`).toBe(true)
      if (anchor !== undefined && target.endsWith('.md')) {
        expect([...anchors(target)], `${link} in ${path}`).toContain(anchor)
      }
    }
  })
})

describe('the Markdown of the project', () => {
  it('is linked from the README, directly or by another page', () => {
    const reached = new Set<string>()
    const visit = (path: string) => {
      if (reached.has(path)) return
      reached.add(path)
      for (const [, link] of prose(path).matchAll(/\]\(([^)\s#]+)(?:#[^)]*)?\)/g)) {
        if (/^[a-z]+:/.test(link!)) continue
        const target = decodeURI(new URL(link!, new URL(path, 'file:///')).pathname.slice(1))
        if (markdownFiles.includes(target)) visit(target)
        // A folder stands for its pages.
        for (const page of markdownFiles) if (page.startsWith(`${target.replace(/\/$/, '')}/`)) visit(page)
      }
    }
    visit('README.md')
    expect(markdownFiles.filter((path) => !reached.has(path))).toEqual([])
  })
})
