#!/usr/bin/env node
import { main, quietPipes, roomForFrames, userCache } from '../dist/index.js'

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
quietPipes(process)

process.exitCode = await main(process.argv.slice(2), undefined, abort.signal, userCache())
