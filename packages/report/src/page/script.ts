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
  const marks = (key) => document.querySelectorAll('[data-p="' + Number(key) + '"]')
  let shown = ''
  const show = (key) => {
    if (key === shown) return
    if (shown !== '') for (const mark of marks(shown)) mark.classList.remove('on')
    if (key !== '') for (const mark of marks(key)) mark.classList.add('on')
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
export const scriptHash = 'sha256-YBPSIZAYZ8n00Ed9EZAVSWfZXi60vPYKuX2ZDwyJlIQ='
