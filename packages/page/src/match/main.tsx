import { render } from 'preact'
import { MatchPage } from './view/MatchPage.tsx'

render(<MatchPage />, document.getElementById('page')!)
