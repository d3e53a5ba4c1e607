import { describe, it } from 'vitest'
import { type ConsumerName, type ConsumerTool, consumerTool } from './consumerTool.ts'

export interface Consumer extends ConsumerTool {
  /**
   * A suite that needs the program. Without it the suite is skipped, and its title says why; where `CI` is set, it
   * fails instead, so that a check never drops out unseen.
   */
  describe(title: string, body: () => void): void
}

/** The program of that name, for tests. */
export function consumer(name: ConsumerName): Consumer {
  const tool = consumerTool(name)
  return {
    ...tool,
    describe(title, body) {
      if (tool.command !== undefined) {
        describe(title, body)
        return
      }
      const fails = () => {
        it(`needs ${name}`, () => {
          throw new Error(`${tool.missing}; where CI is set this is a failure, not a skip`)
        })
      }
      if (process.env.CI) describe(title, fails)
      else describe.skip(`${title} (skipped: ${tool.missing})`, fails)
    },
  }
}
