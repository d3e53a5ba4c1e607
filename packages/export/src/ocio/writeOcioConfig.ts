/** A colour space by the LUT that takes it to the reference. */
export interface OcioSpace {
  readonly name: string
  readonly family: string
  readonly description: string
  /** Path of the LUT, relative to the folder of the config, with forward slashes. */
  readonly file: string
}

export interface OcioConfig {
  /** Comments at the head. */
  readonly comments: readonly string[]
  readonly description: string
  /** What all LUTs lead to: the reference of the config. */
  readonly reference: { readonly name: string; readonly description: string }
  /** Linear light, and the path of the LUT that takes the reference to it. */
  readonly light: OcioSpace
  readonly spaces: readonly OcioSpace[]
}

/** Values that are no colours. */
const raw = 'raw'

/**
 * An OpenColorIO config, version 2: each space goes to the reference through its LUT file, which is looked for beside the
 * config. In OpenColorIO names of spaces are alike in upper and lower case, and a space must not be called as a role is.
 */
export function writeOcioConfig({ comments, description, reference, light, spaces }: OcioConfig): string {
  // YAML reads what JSON writes.
  const text = (words: string) => JSON.stringify(words)
  const through = (file: string) => `!<FileTransform> {src: ${text(file)}, interpolation: tetrahedral}`
  const space = (name: string, family: string, words: string, more: readonly string[], isData = false) => [
    '  - !<ColorSpace>',
    `    name: ${text(name)}`,
    `    family: ${text(family)}`,
    `    description: ${text(words)}`,
    `    isdata: ${isData}`,
    ...more.map((line) => `    ${line}`),
    '',
  ]
  const lines = [
    ...comments.map((line) => `# ${line.replace(/[\r\n]+/g, ' ')}`),
    'ocio_profile_version: 2',
    '',
    `description: ${text(description)}`,
    'search_path: "."',
    'strictparsing: true',
    '',
    'roles:',
    `  default: ${text(reference.name)}`,
    `  data: ${raw}`,
    `  scene_linear: ${text(light.name)}`,
    '',
    'file_rules:',
    `  - !<Rule> {name: Default, colorspace: ${text(reference.name)}}`,
    '',
    'displays:',
    `  output:`,
    `    - !<View> {name: matched, colorspace: ${text(reference.name)}}`,
    '',
    'active_displays: []',
    'active_views: []',
    '',
    'colorspaces:',
    ...space(reference.name, '', reference.description, []),
    ...space(light.name, light.family, light.description, [`from_scene_reference: ${through(light.file)}`]),
    ...space(raw, '', 'no colours: nothing is done to it', [], true),
    ...spaces.flatMap(({ name, family, description: words, file }) =>
      space(name, family, words, [`to_scene_reference: ${through(file)}`]),
    ),
  ]
  return `${lines.join('\n').trimEnd()}\n`
}
