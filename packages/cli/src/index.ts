export { main } from './main.ts'
export { roomForFrames } from './roomForFrames.ts'
export { processTerminal, type Terminal } from './terminal.ts'
export { userCache } from './userCache.ts'
