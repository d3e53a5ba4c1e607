#!/usr/bin/env node
import { main, roomForFrames, userCache } from '../dist/index.js'

roomForFrames()
const abort = new AbortController()
for (const [signal, status] of [
  ['SIGINT', 130],
  // What a cluster's scheduler sends when the time is up.
  ['SIGTERM', 143],
])
  process.on(signal, () => {
    // The first asks the work to stop where it may; who asks twice is not kept waiting.
    if (abort.signal.aborted) process.exit(status)
    abort.abort()
  })
// The reader of a pipe may have seen enough.
process.stdout.on('error', (error) => {
  if (error.code !== 'EPIPE') throw error
  process.exit(0)
})

process.exitCode = await main(process.argv.slice(2), undefined, abort.signal, userCache())
