import { expect, test } from 'vitest'
import { userCache } from '../src/userCache.ts'

// XDG Base Directory Specification 0.8: $XDG_CACHE_HOME, or $HOME/.cache where it is not set or empty.
test('where the XDG specification has it', () => {
  expect(userCache({ XDG_CACHE_HOME: '/fast' }, 'linux', '/home/ada')).toBe('/fast/isochip')
  expect(userCache({}, 'linux', '/home/ada')).toBe('/home/ada/.cache/isochip')
  expect(userCache({ XDG_CACHE_HOME: '' }, 'linux', '/home/ada')).toBe('/home/ada/.cache/isochip')
})

test('where macOS has it (common practice, no source)', () => {
  expect(userCache({}, 'darwin', '/Users/ada')).toBe('/Users/ada/Library/Caches/isochip')
})
