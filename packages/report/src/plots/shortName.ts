/** A name short enough for `room` units of the pictures' type. */
export function shortName(name: string, room: number): string {
  const most = Math.floor(room / 6.6)
  const characters = Array.from(name)
  return characters.length <= most ? name : `${characters.slice(0, most - 1).join('')}…`
}
