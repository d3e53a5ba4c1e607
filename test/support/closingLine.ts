import type { Reporter, TestModule } from 'vitest/node'

/** Ends the run with one plain line, `tests: N passed, N failed`, that any log reader can count by. */
export class ClosingLine implements Reporter {
  onTestRunEnd(modules: ReadonlyArray<TestModule>, unhandled: ReadonlyArray<unknown>): void {
    let passed = 0
    let failed = unhandled.length
    let skipped = 0
    for (const module of modules) {
      let failedHere = 0
      for (const test of module.children.allTests()) {
        const { state } = test.result()
        if (state === 'passed') passed++
        else if (state === 'failed') failedHere++
        else skipped++
      }
      // A module that does not load, or a hook that throws, has no failed test to count.
      failed += failedHere === 0 && module.state() === 'failed' ? 1 : failedHere
    }
    const line = `tests: ${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`
    // At exit, so that nothing (a coverage table, a warning) comes after it.
    process.once('exit', () => process.stdout.write(`\n${line}\n`))
  }
}
