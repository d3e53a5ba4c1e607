/** Camera and setup as the names of a frame's folders and file suggest them. */
export interface NamedShot {
  readonly camera: string
  readonly setup: string
}

/** A number at the end of a file's name is that of the take or the frame. */
const take = /[-_ .]*\d+$/

/**
 * `CAMERA/SETUP/anything`, `CAMERA/SETUP-1` or `CAMERA-SETUP-1`, whichever a path has: its first folder is the camera,
 * its second the setup; what folders do not say the file's name does, less its last number.
 *
 * @param path of a frame from the folder of the show, with forward slashes
 */
export function shotOfPath(path: string): NamedShot {
  const [file = '', ...folders] = path.split('/').reverse()
  const [camera, setup] = folders.reverse()
  const name = file.replace(/\.[^.]*$/, '')
  const stem = name.replace(take, '')
  if (camera !== undefined) return { camera, setup: setup ?? (stem === '' ? name : stem) }
  const [first = '', ...rest] = stem.split(/[-_ ]+/)
  if (first === '') return { camera: name, setup: 'default' }
  return { camera: first, setup: rest.length === 0 ? 'default' : rest.join('-') }
}
