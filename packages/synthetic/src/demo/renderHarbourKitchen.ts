import { builtinChart } from '@isochip/core'
import { type ChartFrameOptions, chartCorners, renderTakes } from '../frame/renderChartFrame.ts'
import { type HarbourCamera, type HarbourSetup, harbourCameras, harbourLights } from './harbourCameras.ts'
import type { HarbourShot } from './harbourShot.ts'
import { harbourShowFile } from './harbourShowFile.ts'
import { kitchenSpectra } from './kitchenColours.ts'
import { paintKitchen } from './paintKitchen.ts'

export interface HarbourKitchen {
  /** Text of `show.yaml`. */
  readonly show: string
  readonly shots: readonly HarbourShot[]
}

const setups: readonly HarbourSetup[] = ['day', 'evening']
const takes = 2

/** The options of a shot's frames as they shall be on another day; `seed` is added to the noise's own. */
export type HarbourChange = (
  camera: string,
  setup: HarbourSetup,
  options: ChartFrameOptions,
) => ChartFrameOptions

/**
 * *Harbour Kitchen*, an invented cooking show: three cameras, two setups, two frames each of the 24-patch chart on a
 * stand in the set, 1920 × 1080 in 16 bits; and its show file.
 *
 * @param size of the frames, for tests that need none so large
 * @param change what is different in a shot; default nothing. The show file stays as it is.
 */
export function renderHarbourKitchen(
  size: { width: number; height: number } = { width: 1920, height: 1080 },
  change: HarbourChange = (_camera, _setup, options) => options,
): HarbourKitchen {
  const spectra = kitchenSpectra()
  const shots = harbourCameras.flatMap((camera, number) =>
    setups.map((setup): HarbourShot => {
      const options = change(camera.id, setup, optionsOf(camera, setup, size, spectra))
      const day = options.seed ?? 0
      const names = Array.from({ length: takes }, (_, take) => `${camera.id}/${setup}-${take + 1}.png`)
      return {
        camera: camera.id,
        setup,
        corners: chartCorners(options),
        names,
        render: () => {
          const seeds = names.map((_, take) => day + 1000 + 100 * number + 10 * setups.indexOf(setup) + take)
          return renderTakes(options, seeds).map((taken, take) => ({ name: names[take]!, ...taken }))
        },
      }
    }),
  )
  return { show: harbourShowFile(shots), shots }
}

function optionsOf(
  { camera, shots, view, distortion }: HarbourCamera,
  setup: HarbourSetup,
  { width, height }: { width: number; height: number },
  spectra: ReturnType<typeof kitchenSpectra>,
): ChartFrameOptions {
  const shot = shots[setup]
  return {
    chart: builtinChart('chart24'),
    width,
    height,
    place: shot.pose,
    camera: { ...camera, ...shot.camera },
    light: harbourLights[setup],
    distortion,
    blur: (1.5 * width) / 1920,
    marks: true,
    stand: true,
    // A tenth of a stop across the chart is what one gets with some care (common practice, no source).
    unevenness: { stops: setup === 'day' ? -0.06 : 0.05, direction: setup === 'day' ? 10 : 70 },
    background: (see) => paintKitchen(see, spectra, setup, view, 4.5),
  }
}
