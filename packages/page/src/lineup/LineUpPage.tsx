import type { Connection } from './connect.ts'

export function LineUpPage({ connection: { state, connected } }: { readonly connection: Connection }) {
  const now = state.value
  return (
    <>
      <header class="top">
        <h1>{now?.title ?? 'Line-up'}</h1>
        <p role="status">{connected.value ? '' : 'Not connected; trying again.'}</p>
      </header>
      <main>{now === undefined ? <p>Waiting for the first frame.</p> : <p>Setup {now.setup}</p>}</main>
    </>
  )
}
