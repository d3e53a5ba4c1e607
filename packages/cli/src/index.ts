export { main } from './main.ts'
export { processTerminal, type Terminal } from './terminal.ts'
export { userCache } from './userCache.ts'
