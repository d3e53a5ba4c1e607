import type { RefObject } from 'preact'
import { useEffect, useState } from 'preact/hooks'

/** Has an element come near the part of the page that is looked at? @param there does the page have it? */
export function useSeen(element: RefObject<Element | null>, there: boolean): boolean {
  const [seen, setSeen] = useState(false)
  useEffect(() => {
    if (element.current === null) return
    const observer = new IntersectionObserver(
      (entries) => {
        if (!entries.some(({ isIntersecting }) => isIntersecting)) return
        observer.disconnect()
        setSeen(true)
      },
      { rootMargin: '50%' },
    )
    observer.observe(element.current)
    return () => observer.disconnect()
  }, [element, there])
  return seen
}
