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

/** Fields of spectra. */
const nm = Array.from({ length: 16 }, (_, i) => `NM${400 + 20 * i}`).join(' ')

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
    'light',
    'values without end in one line of a CGATS text were copied for each of them',
    `CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID ${nm}\nEND_DATA_FORMAT\nBEGIN_DATA\n1 0.5 0.6 ${'? '.repeat(200_000)}\nEND_DATA\n`,
  ),
  kept(
    'cgats',
    'fields without end were each looked for among all of them',
    `CGATS.17\nBEGIN_DATA_FORMAT\n${Array.from({ length: 300_000 }, (_, i) => `F${i}`).join(' ')}\nEND_DATA_FORMAT\nBEGIN_DATA\n1\nEND_DATA\n`,
  ),
  kept(
    'cgats',
    'more samples than a call takes arguments',
    `CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID NM400 NM500 NM600 NM700\nEND_DATA_FORMAT\nBEGIN_DATA\n${Array.from({ length: 150_000 }, (_, i) => `${i} .5 .5 .5 .5`).join('\n')}\nEND_DATA\n`,
  ),
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
