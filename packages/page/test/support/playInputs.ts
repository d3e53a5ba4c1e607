import type { OpenPage } from '../../../report/test/support/openPage.ts'

/** Video inputs that a page believes to have: canvases whose pictures run as a device's do. */
export interface PlayedInputs {
  /** What an input shows from now on. */
  show(label: string, png: Uint8Array): Promise<void>
  /** Moves its picture by so many pixels; what comes in at the side is grey. */
  move(label: string, dx: number, dy: number): Promise<void>
  unplug(label: string): Promise<void>
  plugIn(label: string): Promise<void>
  /** From now on, opening it takes until it is let go. */
  hold(label: string): Promise<void>
  letGo(label: string): Promise<void>
  /** Does its last stream still run? */
  runs(label: string): Promise<boolean>
}

/** Frames a second: each is searched, measured and drawn, and no test here is about how many. */
const rate = 5

/** In the page, whose types nothing here may see. */
const script = `(labels, rate) => {
  const inputs = new Map(labels.map((label) => ['id of ' + label, {
    label, canvas: document.createElement('canvas'), here: true, dx: 0, dy: 0,
  }]))
  const here = () => [...inputs].filter(([, input]) => input.here)
  setInterval(() => {
    for (const { canvas, picture, dx, dy } of inputs.values()) {
      if (picture === undefined) continue
      const context = canvas.getContext('2d')
      context.fillStyle = '#777'
      context.fillRect(0, 0, canvas.width, canvas.height)
      context.drawImage(picture, dx, dy)
    }
  }, 1000 / rate)
  const media = navigator.mediaDevices
  media.enumerateDevices = async () =>
    here().map(([deviceId, { label }]) => ({ kind: 'videoinput', label, deviceId, groupId: '' }))
  media.getUserMedia = async ({ video }) => {
    const id = video.deviceId?.exact ?? here()[0]?.[0]
    const input = inputs.get(id)
    if (!input?.here) throw new DOMException('', 'OverconstrainedError')
    await input.held
    const stream = input.canvas.captureStream(rate)
    if (video.deviceId !== undefined) input.track = stream.getVideoTracks()[0]
    return stream
  }
  const of = (label) => inputs.get('id of ' + label)
  globalThis.playedInputs = {
    async show(label, address) {
      const picture = new Image()
      picture.src = address
      await picture.decode()
      const { canvas } = of(label)
      canvas.width = picture.naturalWidth
      canvas.height = picture.naturalHeight
      of(label).picture = picture
    },
    move(label, dx, dy) { Object.assign(of(label), { dx, dy }) },
    hold(label) {
      const input = of(label)
      input.held = new Promise((resolve) => { input.letGo = resolve })
    },
    async letGo(label) {
      of(label).letGo()
      // Until whoever waited for it has its stream.
      for (let i = 0; i < 2; i++) await new Promise((resolve) => setTimeout(resolve))
    },
    runs: (label) => of(label).track?.readyState === 'live',
    plug(label, there) {
      of(label).here = there
      if (!there) of(label).track?.dispatchEvent(new Event('ended'))
      media.dispatchEvent(new Event('devicechange'))
    },
  }
}`

/** Chromium's own fake device plays one clip that is fixed when it starts: a camera that is turned at needs more. */
export async function playInputs(page: OpenPage['page'], labels: readonly string[]): Promise<PlayedInputs> {
  await page.evaluate(`(${script})(${JSON.stringify(labels)}, ${rate})`)
  const call = (name: string, ...args: readonly unknown[]) =>
    page.evaluate(`playedInputs.${name}(...${JSON.stringify(args)})`) as Promise<never>
  return {
    show: (label, png) => call('show', label, `data:image/png;base64,${Buffer.from(png).toString('base64')}`),
    move: (label, dx, dy) => call('move', label, dx, dy),
    unplug: (label) => call('plug', label, false),
    plugIn: (label) => call('plug', label, true),
    hold: (label) => call('hold', label),
    letGo: (label) => call('letGo', label),
    runs: (label) => call('runs', label),
  }
}
