import { afterAll } from 'vitest'
import { removeScratch } from './scratchFolder.ts'

// Run for every file of tests, unlike the modules that they share.
afterAll(removeScratch)
