import { describe, expect, it } from 'vitest'
import { responsesHtml } from '../../src/index.ts'
import { inventedResponses } from '../support/inventedResponses.ts'

describe('responsesHtml', () => {
  it('is the same bytes for the same input', () => {
    expect(responsesHtml(inventedResponses())).toBe(responsesHtml(inventedResponses()))
  })

  it('has a table of the numbers behind every picture', () => {
    const page = responsesHtml(inventedResponses())
    // Overview and angles, and two maps a pair, for one pair of cameras and two with the observer.
    expect(page.match(/<svg class="plot /g)).toHaveLength(2 + 2 * 3)
    expect(page.match(/<summary>Numbers: /g)).toHaveLength(2 + 2 * 3)
    expect(page).toContain('<th scope=row>R from G<td>+0.120<td>+0.080<td>+0.140')
    expect(page).toContain('<th scope=row>wide → cross<td>0.50<td>1.00<td>1.50<td>blue')
    expect(page).toContain('<th scope=row>wide – cross<td>0.50<td>1.50<td>2.50')
  })

  it('calls the channels of the observer X, Y and Z, on the side where it stands', () => {
    const page = responsesHtml(inventedResponses())
    for (const term of ['X from R', 'R from Z']) expect(page.split(`<th scope=row>${term}<`)).toHaveLength(3)
    expect(page).not.toContain('X from X')
  })

  it('says what could not be read or compared, and on what the index rests', () => {
    const page = responsesHtml(inventedResponses())
    for (const text of ['day, rail', 'no picture', 'pole is left out', 'the patches of this chart', '87.9'])
      expect(page).toContain(text)
  })

  it('takes names as text, and lets nothing run', () => {
    const page = responsesHtml(inventedResponses({ cross: '</title><script>x</script>' }))
    expect(page).not.toContain('<script')
    expect(page).toContain('default-src &#39;none&#39;')
    expect(page).not.toContain('script-src')
  })
})
