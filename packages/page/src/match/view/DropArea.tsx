import { useSignal } from '@preact/signals'
import type { ComponentChildren } from 'preact'
import { chosenFiles, droppedFiles } from '../droppedFiles.ts'
import type { NamedFile } from '../messages.ts'

interface DropAreaProps {
  readonly class?: string
  /** What the files are, for whoever cannot see where the area stands. */
  readonly label: string
  /** What the button says. */
  readonly choose?: string
  readonly children: ComponentChildren
  /** What stands after the button. */
  readonly after?: ComponentChildren
  onFiles(files: readonly NamedFile[]): void
}

/** A place for files: dropped, or chosen by mouse or keyboard. */
export function DropArea({
  class: name = '',
  label,
  choose = 'Choose files',
  children,
  after,
  onFiles,
}: DropAreaProps) {
  const over = useSignal(false)
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: the same can be done by the button inside
    <div
      class={`drop ${name} ${over.value ? 'over' : ''}`}
      onDragOver={(event) => {
        event.preventDefault()
        over.value = true
      }}
      onDragLeave={() => {
        over.value = false
      }}
      onDrop={async (event) => {
        event.preventDefault()
        over.value = false
        if (event.dataTransfer !== null) onFiles(await droppedFiles(event.dataTransfer))
      }}
    >
      {children}
      <label class="choose">
        {choose}
        <input
          type="file"
          class="file-input"
          multiple
          aria-label={label}
          onChange={({ currentTarget }) => {
            if (currentTarget.files !== null) onFiles(chosenFiles(currentTarget.files))
            currentTarget.value = ''
          }}
        />
      </label>
      {after}
    </div>
  )
}
