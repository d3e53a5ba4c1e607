import { expect, test } from 'vitest'
import { userCache } from '../src/userCache.ts'

// XDG Base Directory Specification 0.8: $XDG_CACHE_HOME, or $HOME/.cache where it is not set or empty.
test('where the XDG specification has it', () => {
  expect(userCache({ XDG_CACHE_HOME: '/fast' }, 'linux', '/people/ada')).toBe('/fast/isochip')
  expect(userCache({}, 'linux', '/people/ada')).toBe('/people/ada/.cache/isochip')
  expect(userCache({ XDG_CACHE_HOME: '' }, 'linux', '/people/ada')).toBe('/people/ada/.cache/isochip')
})

test('where macOS has it (common practice, no source)', () => {
  expect(userCache({}, 'darwin', '/people/ada')).toBe('/people/ada/Library/Caches/isochip')
})
