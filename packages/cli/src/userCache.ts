import { homedir } from 'node:os'
import { join } from 'node:path'

/**
 * The user's folder for what may be lost: as the XDG Base Directory Specification has it, and the customs of macOS
 * and Windows.
 */
export function userCache(
  env: NodeJS.ProcessEnv = process.env,
  platform: NodeJS.Platform = process.platform,
  home: string = homedir(),
): string {
  if (env.XDG_CACHE_HOME) return join(env.XDG_CACHE_HOME, 'isochip')
  if (platform === 'darwin') return join(home, 'Library', 'Caches', 'isochip')
  if (platform === 'win32')
    return join(env.LOCALAPPDATA ?? join(home, 'AppData', 'Local'), 'isochip', 'cache')
  return join(home, '.cache', 'isochip')
}
