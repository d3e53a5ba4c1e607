import { useEffect, useState } from 'preact/hooks'

/** So many more at a time. */
const step = 4

/** How many of a long list are shown: a few more after each picture, so that two hundred that come at once do not hold up the page. */
export function useFew(count: number): number {
  const [shown, setShown] = useState(step)
  useEffect(() => {
    if (shown > Math.max(count, step)) setShown(Math.max(count, step))
    if (shown >= count) return
    const timer = setTimeout(() => setShown(shown + step))
    return () => clearTimeout(timer)
  }, [shown, count])
  return Math.min(shown, count)
}
