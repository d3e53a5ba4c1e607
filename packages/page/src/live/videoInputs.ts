import type { Failure } from '../match/messages.ts'

/** A video input as the browser names it. */
export interface VideoInput {
  readonly id: string
  readonly label: string
}

/**
 * All video inputs. The browser asks the user, and names them only after that.
 *
 * @throws DOMException as `getUserMedia` does
 */
export async function videoInputs(): Promise<readonly VideoInput[]> {
  const media = mediaDevices()
  const stream = await media.getUserMedia({ video: true })
  const found = await media.enumerateDevices()
  for (const track of stream.getTracks()) track.stop()
  return found
    .filter(({ kind }) => kind === 'videoinput')
    .map(({ deviceId, label }, i) => ({ id: deviceId, label: label || `Input ${i + 1}` }))
}

/** Its picture, as large as it comes, unscaled and at its own rate. @throws DOMException as `getUserMedia` does */
export const openVideoInput = (id: string): Promise<MediaStream> =>
  mediaDevices().getUserMedia({
    video: {
      deviceId: { exact: id },
      width: { ideal: 1920 },
      height: { ideal: 1080 },
      frameRate: { ideal: 30 },
    },
  })

function mediaDevices(): MediaDevices {
  // Browsers leave it out where the page did not come from this machine or by https.
  const media = navigator.mediaDevices as MediaDevices | undefined
  if (media !== undefined) return media
  throw new DOMException('', 'SecurityError')
}

/** Why a video input cannot be had, and what to do about it. */
export function inputFailure(cause: unknown): Failure {
  switch ((cause as Error).name) {
    case 'NotAllowedError':
      return {
        message: 'the browser was not allowed to look at video inputs',
        hint: 'allow the camera for this page (the sign is in or beside the address bar), then try again; frames can be dropped without',
      }
    case 'NotFoundError':
    case 'OverconstrainedError':
      return {
        message: 'no video input is there',
        hint: 'plug in the capture stick or camera, wait until the system has seen it, then try again',
      }
    case 'NotReadableError':
    case 'AbortError':
      return {
        message: 'the video input gives no picture',
        hint: 'another program may hold it: close that, or unplug the input and plug it in again',
      }
    case 'SecurityError':
      return {
        message: 'the browser gives video inputs only to pages from this machine or by https',
        hint: 'open the page by the address that isochip page prints',
      }
    default:
      return { message: `the video input cannot be opened: ${(cause as Error).message}` }
  }
}
