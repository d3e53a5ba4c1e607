/** Models and curves as the page names them where they are chosen. */
export const choiceWords: {
  readonly model: Readonly<Record<string, string>>
  readonly curve: Readonly<Record<'declared' | 'corrected' | 'measured', string>>
} = {
  model: {
    gain: 'gain alone',
    'lift-gain': 'lift and gain',
    'lift-gain-matrix': 'lift, gain and matrix',
    'root-polynomial-2': 'root-polynomial, degree 2',
    'root-polynomial-3': 'root-polynomial, degree 3',
    auto: 'the best that the chart carries',
  },
  curve: {
    declared: 'as the encoding says',
    corrected: 'corrected by the chart',
    measured: 'measured on the chart',
  },
}

/** Fields of a show file that a message names, as what to choose on the page. */
export const inChoices = (message: string): string =>
  message.replace(
    /fit: \{ curve: (corrected|measured)(?:, model: ([\w-]+))? \} leaves/g,
    (_, curve: 'corrected' | 'measured', model?: string) => {
      const more = model === undefined ? '' : `, Model “${choiceWords.model[model] ?? model}”`
      return `with Curve “${choiceWords.curve[curve]}”${more} ΔE00 would be`
    },
  )
