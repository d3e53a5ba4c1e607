/**
 * The page's only script. The page says everything without it; with it, pointing at a patch, or choosing it from the
 * list, shows it in all pictures at once. Stages and cameras are switched by the style alone.
 */
export const script = `
(() => {
  const root = document.documentElement
  const choice = document.getElementById('patch')
  if (!choice) return
  root.classList.add('js')
  const marks = new Map()
  for (const mark of document.querySelectorAll('[data-p]')) {
    const key = mark.dataset.p
    if (!marks.has(key)) marks.set(key, [])
    marks.get(key).push(mark)
  }
  let shown = ''
  const show = (key) => {
    if (key === shown) return
    for (const mark of marks.get(shown) || []) mark.classList.remove('on')
    for (const mark of marks.get(key) || []) mark.classList.add('on')
    root.classList.toggle('picking', key !== '')
    shown = key
  }
  let kept = ''
  const keep = (key) => {
    kept = key
    choice.value = key
    show(key)
  }
  const patchOf = (event) => {
    const mark = event.target instanceof Element ? event.target.closest('[data-p]') : null
    return mark ? mark.dataset.p : ''
  }
  document.addEventListener('pointerover', (event) => {
    const key = patchOf(event) || kept
    choice.value = key
    show(key)
  })
  document.addEventListener('click', (event) => {
    const key = patchOf(event)
    if (key !== '') keep(key === kept ? '' : key)
  })
  document.addEventListener('keydown', (event) => {
    if (event.key === 'Escape') keep('')
  })
  choice.addEventListener('change', () => keep(choice.value))
})()
`

/** SHA-256 of `script`, for the page's content security policy. A test holds the two together. */
export const scriptHash = 'sha256-Sy3XcOiObyttdd4vpGdWAw3vfU1J7AQ7D48OHwZoXDA='
