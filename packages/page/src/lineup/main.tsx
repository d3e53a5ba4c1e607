import { render } from 'preact'
import { connect } from './connect.ts'
import { LineUpPage } from './LineUpPage.tsx'

render(<LineUpPage connection={connect('state')} />, document.getElementById('page')!)
