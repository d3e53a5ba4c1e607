import type { Frame } from '../../frame/frame.ts'

/** The samples themselves, or, where some of them are not finite, others with 0 in their place. */
export function finiteSamples(samples: Frame['data']): Frame['data'] {
  if (!(samples instanceof Float32Array)) return samples
  for (let k = 0; k < samples.length; k++) if (!Number.isFinite(samples[k]!)) return samples.map(finite)
  return samples
}

const finite = (value: number) => (Number.isFinite(value) ? value : 0)
