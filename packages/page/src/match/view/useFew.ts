import { useEffect, useState } from 'preact/hooks'

/** How many of a long list are shown: a few more after each picture, so that two hundred that come at once do not hold up the page. */
export function useFew(count: number, step = 4): number {
  const [shown, setShown] = useState(step)
  useEffect(() => {
    if (shown > Math.max(count, step)) setShown(Math.max(count, step))
    if (shown >= count) return
    const timer = setTimeout(() => setShown(shown + step))
    return () => clearTimeout(timer)
  }, [shown, count, step])
  return Math.min(shown, count)
}
