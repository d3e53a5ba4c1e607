import { rmSync } from 'node:fs'
import { scratchRoot } from './scratchFolder.ts'

/** What the whole run leaves behind is taken away at its end. */
export default () => () => rmSync(scratchRoot, { recursive: true, force: true })
