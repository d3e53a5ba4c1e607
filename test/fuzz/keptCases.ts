interface KeptCase {
  readonly target: string
  /** What was wrong. */
  readonly what: string
  readonly input: Uint8Array
}

const kept = (target: string, what: string, input: string): KeptCase => ({
  target,
  what,
  input: Buffer.from(input, 'utf8'),
})

/** Inputs that did harm once, cut down to what did it. */
export const keptCases: readonly KeptCase[] = [
  kept(
    'show',
    'the YAML of two million quotes took 16 s',
    `isochip: 1\n"ca${'"'.repeat(2_000_000)}meras": 1\n`,
  ),
  kept(
    'readings',
    'a field of 100,000 characters was quoted whole',
    `patch,r,g,b\n${'n '.repeat(50_000)},0.1,0.1,0.1\n`,
  ),
  kept(
    'readings',
    'a mark of direction in a name turned the message round',
    'patch,r,g,b\n\u202egnp,0.1,0.1,0.1\n',
  ),
  kept('light', 'an escape sequence was sent to the terminal', '400,1\n\u001b[2J,1\n'),
  kept(
    'match file',
    'the place of a fault in a file of a megabyte',
    `{"isochip":"match/3","x":${'[1],'.repeat(300_000)}`,
  ),
  kept('show', 'dashes without end went beyond the stack', `isochip: 1\ncameras:\n${'- '.repeat(200_000)}`),
  kept(
    'match file',
    'brackets without end, when the place is looked for',
    `{"isochip":"match/3","x":${'['.repeat(100_000)}${']'.repeat(100_000)}}`,
  ),
  kept('chart', 'brackets without end', `{"isochip":"chart/1","id":${'['.repeat(100_000)}`),
  kept(
    'page server: requests',
    'an address that is none ended the server',
    'GET // HTTP/1.1\r\nHost: @host\r\nConnection: close\r\n\r\n',
  ),
  kept(
    'studio: how its cameras stand',
    'a file cut short was no error of isochip',
    '{"isochip":"studio/1","cam',
  ),
  kept(
    'page: remembered inputs',
    'an encoding that is none ended what adds the camera',
    '{"a1":{"label":"Input 1","camera":"jib","encoding":{"transfer":"bt709","primaries":{}},"form":{"matrix":"bt709","range":"full"}}}',
  ),
]
