import { watch } from 'node:fs'
import { lineUpShow } from '@isochip/show/node'
import type { StudioTurn } from '@isochip/synthetic'
import { type LineUpPageOptions, openLineUpPage } from '../page/openLineUpPage.ts'
import type { Run } from '../run.ts'
import { errorText } from '../text/errorText.ts'
import { lineUpText } from '../text/lineUpText.ts'
import type { DemoStudio } from './demoStudio.ts'
import { deskPath, panels, studioDesk } from './studioDesk.ts'

/** Lines the simulated cameras up, on a page on which they can be turned, until it is ended. */
export async function runStudio(
  studio: DemoStudio,
  place: Pick<LineUpPageOptions, 'port' | 'folder'>,
  { terminal, signal }: Pick<Run, 'terminal' | 'signal'>,
): Promise<void> {
  const asked = new Map<string, StudioTurn>()
  const tell = () =>
    panels(studio).then(
      (all) => page.board.takePanels(all),
      // The folder may be taken away while it is watched.
      () => undefined,
    )
  const page = await openLineUpPage(studio.show, {
    ...place,
    more: {
      writes: [deskPath],
      answer: studioDesk(
        studio,
        (camera) => asked.get(camera),
        () => void tell(),
      ),
    },
  })
  await tell()
  // Another command may turn at the cameras too.
  const watcher = watch(studio.folder, (_, name) => {
    if (name === 'studio.json') void tell()
  })
  terminal.err(
    `The page: ${page.address}\n` +
      'It is a simulation: set what it asks for with the buttons under each camera, and shoot.\n' +
      'Ctrl-C ends it.\n',
  )
  try {
    for await (const event of lineUpShow(studio.show, {
      ...(signal === undefined ? {} : { signal }),
      onFrame: (camera, frame, encoding) => page.board.takeFrame(camera, frame, encoding),
    })) {
      page.board.takeEvent(event)
      if (event.type === 'trouble') terminal.err(errorText(event.error, terminal))
      else if (event.type !== 'target') {
        asked.set(event.camera, event.kept.asked)
        terminal.out(`${lineUpText(event)}\n`)
      }
    }
  } finally {
    watcher.close()
    await page.close()
  }
}
