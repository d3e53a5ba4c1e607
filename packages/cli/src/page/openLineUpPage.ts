import { encodingText, targetText } from '@isochip/report'
import { loadShow } from '@isochip/show/node'
import { LineUpBoard } from './lineUpBoard.ts'
import { pageFolder } from './pageFolder.ts'
import { type PageServer, type ServePageOptions, servePage } from './servePage.ts'

export interface LineUpPageOptions {
  readonly port: number
  /** Default the first setup of the show. */
  readonly setup?: string
  /** Default the folder of the build. */
  readonly folder?: string
  /** Answers beside the page's own. Default none. */
  readonly more?: Pick<ServePageOptions, 'answer' | 'writes'>
}

export interface LineUpPage extends PageServer {
  /** To be fed with what happens. */
  readonly board: LineUpBoard
}

/** The page of a line-up, served; nothing of a shot is known to it yet. */
export async function openLineUpPage(
  path: string,
  { port, setup, folder = pageFolder(), more = {} }: LineUpPageOptions,
): Promise<LineUpPage> {
  const { plan } = await loadShow(path)
  const { show, encodings } = plan
  const { target, tolerance } = show
  const wanted = setup ?? show.cameras[0]!.shots[0]!.setup
  const board = new LineUpBoard({
    title: show.title ?? 'Line-up',
    setup: wanted,
    target: targetText(target),
    tolerance: tolerance.mean,
    cameras: show.cameras
      .filter(({ shots }) => shots.some((shot) => shot.setup === wanted && shot.kind !== 'borrowed'))
      .map(({ id }) => {
        const { spec } = encodings.get(id)!
        const { transfer } = spec
        // A curve that is to be measured is not known yet: its scope is that of video.
        const encoding = { ...spec, transfer: transfer === 'measured' ? ('bt709' as const) : transfer }
        return {
          camera: id,
          isTarget: 'camera' in target && target.camera === id,
          encoding,
          encodingText: encodingText(encoding, transfer === 'measured'),
        }
      }),
  })
  const server = await servePage({
    folder,
    index: 'lineup.html',
    port,
    ...more,
    answer: (asked, request, response) =>
      board.answer(asked, request, response) || (more.answer?.(asked, request, response) ?? false),
  })
  return { ...server, board }
}
