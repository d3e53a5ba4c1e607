import type { IncomingMessage, ServerResponse } from 'node:http'
import { IsochipError, isIsochipError } from '@isochip/core'
import type { PanelState } from '@isochip/page'
import type { StudioTurn } from '@isochip/synthetic'
import type { DemoStudio } from './demoStudio.ts'
import { checkedTurn, panelTurn, panelUnits } from './panel.ts'

/** Where the page sends what is turned at a simulated camera. */
export const deskPath = '/studio'

/** A request of the page is never longer. */
const mostBytes = 4096

/** What the panels of the studio say, as the page wants it. */
export async function panels(studio: DemoStudio): Promise<PanelState[]> {
  return Object.entries(await studio.states()).map(([camera, { panel }]) => ({
    camera,
    controls: Object.entries(panel).map(([name, value]) => ({
      name,
      value,
      unit: panelUnits[name as keyof typeof panelUnits],
    })),
  }))
}

const groups = ['pedestal', 'exposure', 'gains', 'matrix'] as const

/**
 * Answers the page's requests to turn and to shoot: `{ camera, turn: { exposure: 0.05 } }`, `{ camera, asked: 'gains' }`,
 * `{ camera, shoot: true }`; one after the other.
 *
 * @param asked what was last advised at a camera. @param changed called when something was turned
 */
export function studioDesk(
  studio: DemoStudio,
  asked: (camera: string) => StudioTurn | undefined,
  changed: () => void,
): (path: string, request: IncomingMessage, response: ServerResponse) => boolean {
  let last: Promise<unknown> = Promise.resolve()
  const act = async (text: string) => {
    const given = JSON.parse(text) as Record<string, unknown>
    const camera = String(given.camera)
    if (given.turn !== undefined)
      await studio.turn(camera, checkedTurn(given.turn as Record<string, unknown>))
    const group = groups.find((one) => one === given.asked)
    const advice = group && asked(camera)
    if (group && advice) await studio.turn(camera, panelTurn(advice, group))
    if (given.shoot === true) await studio.shoot(camera)
    changed()
  }
  return (path, request, response) => {
    if (path !== deskPath || request.method !== 'POST') return false
    const answer = (status: number, text: string) =>
      response.writeHead(status, { 'Content-Type': 'text/plain; charset=utf-8' }).end(text)
    read(request).then(
      (text) => {
        last = last
          .then(() => act(text))
          .then(
            () => answer(204, ''),
            (cause) =>
              isIsochipError(cause) || cause instanceof SyntaxError
                ? answer(400, (cause as Error).message)
                : answer(500, 'the simulation failed'),
          )
      },
      () => answer(413, 'too long'),
    )
    return true
  }
}

async function read(request: IncomingMessage): Promise<string> {
  let text = ''
  for await (const part of request.setEncoding('utf8')) {
    text += part as string
    if (text.length > mostBytes) throw new IsochipError('usage', 'a request that is too long')
  }
  return text
}
