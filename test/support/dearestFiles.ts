import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import type { Reporter, TestModule } from 'vitest/node'

const all = 'node_modules/.cache/test-cost.txt'

/**
 * Prints the ten test files that take most processor time, and the sum of all: `npm run test:cost`. Processor time and
 * not the clock, since other people's work on the same machine changes the clock. What is spent between the end of one
 * file and the end of the next is the next one's, so it holds with one worker alone.
 */
export default class DearestFiles implements Reporter {
  private readonly costs: { readonly file: string; readonly seconds: number }[] = []
  private before = 0

  onTestModuleEnd(module: TestModule): void {
    const now = processorSeconds()
    this.costs.push({ file: module.relativeModuleId, seconds: now - this.before })
    this.before = now
    // After each: a run that is ended early has told of what it did.
    this.write()
  }

  onTestRunEnd(): void {
    const lines = this.write()
    const sum = this.costs.reduce((total, { seconds }) => total + seconds, 0)
    console.log(`\nprocessor time, seconds (all of them in ${all}):`)
    console.log(lines.slice(0, 10).join('\n'))
    console.log(`${sum.toFixed(1).padStart(6)} all ${lines.length} files`)
  }

  private write(): string[] {
    const lines = this.costs
      .toSorted((a, b) => b.seconds - a.seconds)
      .map(({ file, seconds }) => `${seconds.toFixed(1).padStart(6)} ${file}`)
    mkdirSync('node_modules/.cache', { recursive: true })
    writeFileSync(all, `${lines.join('\n')}\n`)
    return lines
  }
}

/** Of this process with all its threads, and of the processes that it started and that have ended, in seconds. */
function processorSeconds(): number {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1e6 + endedChildrenSeconds()
}

/** proc(5): fields 16 and 17 of `/proc/self/stat` in hundredths of a second. Where there is no such file, children are not counted. */
function endedChildrenSeconds(): number {
  try {
    const [, fields = ''] = readFileSync('/proc/self/stat', 'utf8').split(/\) (?=[^)]*$)/)
    const [user = 0, system = 0] = fields.split(' ').slice(13, 15).map(Number)
    return (user + system) / 100
  } catch {
    return 0
  }
}
