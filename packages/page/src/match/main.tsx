import { render } from 'preact'
import { MatchPage } from './view/MatchPage.tsx'
import { beginWorkers } from './workers.ts'

render(<MatchPage />, document.getElementById('page')!)
// After the first picture, which does not wait for them.
requestAnimationFrame(() => setTimeout(() => void beginWorkers()))
