import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { IsochipError } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { markPng, OutputFolder } from '@isochip/show/node'
import { harbourStudio, type StudioSeat, turned } from '@isochip/synthetic'
import { controls, type PanelTurn, studioTurn } from './panel.ts'
import { parseStudioFile, type SeatState, type StudioFile } from './studioFile.ts'

const stateFile = 'studio.json'

/**
 * The simulated studio in a folder: a show file, a frame of each camera, and how the cameras stand. Each turn reads and writes
 * the folder, so that a page and a command line can turn at the same cameras.
 */
export class DemoStudio {
  readonly folder: string
  readonly show: string
  readonly #seats: readonly StudioSeat[]

  private constructor(folder: string, seats: readonly StudioSeat[]) {
    this.folder = folder
    this.show = join(folder, 'show.yaml')
    this.#seats = seats
  }

  /**
   * The studio of a folder; a new one is rendered where there is none.
   *
   * @param progress called with the camera that is to shoot
   * @throws IsochipError `output-exists` where other files stand in its place; `usage` where the file of a studio is broken
   */
  static async open(
    folder: string,
    force: boolean,
    progress: (camera: string) => void = () => {},
  ): Promise<DemoStudio> {
    const { show, seats } = harbourStudio()
    const studio = new DemoStudio(folder, seats)
    if (!force && (await studio.#state()) !== undefined) return studio
    const before = await readFile(studio.show, 'utf8').catch(() => show)
    if (before !== show && !force)
      throw new IsochipError('output-exists', `${studio.show} is not as the demo writes it`, {
        hint: 'give another folder, or replace it',
        place: { file: studio.show },
      })
    const panel = Object.fromEntries(controls.map((name) => [name, 0])) as SeatState['panel']
    const cameras = Object.fromEntries(
      seats.map(({ id, begin }) => [id, { settings: begin, panel, shots: 1 }]),
    )
    const out = await OutputFolder.open(folder, [...seats.map(({ id }) => `${id}.png`), stateFile], { force })
    try {
      await out.stage('show.yaml', show)
      await studio.#stage(
        out,
        { isochip: 'studio/1', cameras },
        seats.map(({ id }) => id),
        progress,
      )
      await out.commit()
    } finally {
      await out.discard()
    }
    return studio
  }

  get cameras(): readonly string[] {
    return this.#seats.map(({ id }) => id)
  }

  /** How its cameras stand. @throws IsochipError `usage` where their file does not say it */
  async states(): Promise<Readonly<Record<string, SeatState>>> {
    return (await this.#state())!.cameras
  }

  /**
   * Turns at a camera, without a shot.
   *
   * @throws IsochipError `usage` for a camera that is not there
   */
  async turn(camera: string, turn: PanelTurn): Promise<void> {
    await this.#change(camera, false, (one, { acts }) => ({
      ...one,
      settings: turned(one.settings, studioTurn(turn), acts),
      panel: Object.fromEntries(
        controls.map((name) => [name, one.panel[name] + (turn[name] ?? 0)]),
      ) as SeatState['panel'],
    }))
  }

  /** Has a camera shoot the chart. @throws IsochipError as `turn` */
  async shoot(camera: string): Promise<void> {
    await this.#change(camera, true, (one) => ({ ...one, shots: one.shots + 1 }))
  }

  async #change(
    camera: string,
    shoot: boolean,
    change: (one: SeatState, seat: StudioSeat) => SeatState,
  ): Promise<void> {
    const seat = this.#seats.find(({ id }) => id === camera)
    if (seat === undefined)
      throw new IsochipError('usage', `the studio has no camera "${camera}"`, {
        hint: `its cameras are ${this.cameras.join(', ')}`,
      })
    const { cameras } = (await this.#state())!
    const state: StudioFile = {
      isochip: 'studio/1',
      cameras: { ...cameras, [camera]: change(cameras[camera]!, seat) },
    }
    const files = [stateFile, ...(shoot ? [`${camera}.png`] : [])]
    const out = await OutputFolder.open(this.folder, files)
    try {
      await this.#stage(out, state, shoot ? [camera] : [])
      await out.commit()
    } finally {
      await out.discard()
    }
  }

  async #stage(
    out: OutputFolder,
    state: StudioFile,
    shooting: readonly string[],
    progress: (camera: string) => void = () => {},
  ): Promise<void> {
    for (const camera of shooting) {
      progress(camera)
      const { settings, shots } = state.cameras[camera]!
      const seat = this.#seats.find(({ id }) => id === camera)!
      const { width, height, data, bits } = seat.shoot(settings, shots)
      const png = await encodeFrame(createFrame(width, height, data, bits), { format: 'png' })
      await out.stage(`${camera}.png`, markPng(png))
    }
    await out.stage(stateFile, `${JSON.stringify(state, null, 1)}\n`)
  }

  async #state(): Promise<StudioFile | undefined> {
    const file = join(this.folder, stateFile)
    const text = await readFile(file, 'utf8').catch(() => undefined)
    return text === undefined ? undefined : parseStudioFile(text, this.cameras, file)
  }
}
