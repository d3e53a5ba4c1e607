import { buildPage } from '../../../packages/page/scripts/buildPage.ts'
import { keptFolder } from '../../support/scratchFolder.ts'

/** The page, bundled from its sources as they are: once for all files of a thread, to be served and not written to. */
export const builtPage = (): Promise<string> => keptFolder('built-page', buildPage)
