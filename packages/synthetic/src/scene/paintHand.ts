import { atan2, hypot } from '@isochip/core'
import type { See } from '../camera/camera.ts'
import { aspectOf } from '../frame/paintChart.ts'
import { brush } from '../picture/brush.ts'
import { project, squareToQuad } from '../picture/homography.ts'
import type { Lens } from '../picture/lens.ts'
import type { Picture } from '../picture/picture.ts'
import { random } from '../random.ts'
import { materials } from '../spectrum/materials.ts'
import type { PlannedChart } from './planScene.ts'

/** Fingertips over the edge of a board. They stay on the margin: no patch is covered. */
export function paintHand(picture: Picture, see: See, planned: PlannedChart, lens: Lens): void {
  const { hand, look, place, chart } = planned
  if (hand === undefined) return
  const r = random(hand.seed)
  const { width, height } = picture
  const skin = see(materials(r.whole(1, 999), 1)[0]!.reflectance)
  const [left, top, right, bottom] = look.margin!
  const aspect = aspectOf(chart)
  const margin = [top, right, bottom, left][hand.side]!
  const map = squareToQuad(place.corners)
  /** A point of the side: `along` it 0…1, `out` grid heights away from the patches; in the brush's world. */
  const at = (along: number, out: number): readonly [number, number] => {
    const across = out / aspect
    const sides: readonly (readonly [number, number])[] = [
      [along, -out],
      [1 + across, along],
      [along, 1 + out],
      [-across, along],
    ]
    const [x, y] = lens.distort(project(map, sides[hand.side]!))
    return [(x - width / 2) / height, (y - height / 2) / height]
  }
  const paint = brush(picture, { x: 0, y: 0, zoom: 1 })
  const level = r.between(0.7, 1.1)
  const start = r.between(0.1, 0.7)
  const count = r.whole(1, 4)
  for (let finger = 0; finger < count; finger++) {
    const along = start + finger * (hand.side % 2 === 0 ? 0.09 / aspect : 0.09)
    const tip = at(along, margin * 0.35 + 0.02)
    const root = at(along, margin + r.between(0.15, 0.3))
    const size = hypot(root[0] - tip[0], root[1] - tip[1])
    const thick = (size / (0.65 * margin + 0.2)) * 0.08
    const turn = (atan2(root[1] - tip[1], root[0] - tip[0]) * 180) / Math.PI
    paint.box(
      [(tip[0] + root[0]) / 2, (tip[1] + root[1]) / 2],
      [size, thick],
      (_, v) => {
        const light = level * (1 - 0.45 * v * v - 0.15 * v)
        return [skin[0] * light, skin[1] * light, skin[2] * light]
      },
      { turn, radius: thick / 2.01, soft: (look.blur ?? 1) / height },
    )
  }
}
