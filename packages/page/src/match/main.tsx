import { render } from 'preact'
import { MatchPage } from './MatchPage.tsx'

render(<MatchPage />, document.getElementById('page')!)
