import { type Encoding, exp2, fractionFromNominal, resolveTransfer, type Vec3 } from '@isochip/core'

type Channel = 0 | 1 | 2

const nodes = 16384

/**
 * The code value of a channel's light, still to be cut to a whole number: half a code is added already, and it lies
 * between 0 and the top code. From a table over the fourth root of light, which gives the toe of a log curve, and the
 * steep start of PQ, the nodes they need; light below zero goes through the curve itself.
 *
 * @param pedestal added to the signal, as a fraction of the nominal range
 */
export function coder(
  encoding: Encoding,
  bits: number,
  pedestal: Vec3 = [0, 0, 0],
): (channel: Channel) => (light: number) => number {
  const { range, spec } = encoding
  const transfer = resolveTransfer(spec.transfer)
  const top = exp2(bits) - 1
  const peaks = ([0, 1, 2] as const).map((channel) => transfer.decode(1, channel))
  // A little over the light of the top code, but no more than any curve of a camera holds.
  const peak = Math.min(Math.max(...peaks) * 1.3, 1e4)
  const reach = Math.sqrt(Math.sqrt(peak))
  const perRoot = nodes / reach
  const exact = (light: number, channel: Channel) =>
    fractionFromNominal(transfer.encode(light, channel) + pedestal[channel], range, bits) * top + 0.5
  const tableOf = (channel: Channel) => {
    const table = new Float32Array(nodes + 2)
    for (let i = 0; i < table.length; i++) {
      const root = (i / nodes) * reach
      const squared = root * root
      table[i] = exact(squared * squared, channel)
    }
    return table
  }
  // Only a pedestal, or a curve given as a table, can differ from channel to channel.
  const differ =
    pedestal.some((value) => value !== 0) || (typeof spec.transfer === 'object' && 'table' in spec.transfer)
  const common = differ ? undefined : tableOf(0)
  return (channel) => {
    const table = common ?? tableOf(channel)
    const blind = exact(0, channel) <= 0.5
    return (light) => {
      if (light < 0) return blind ? 0 : Math.min(Math.max(exact(light, channel), 0), top)
      const at = Math.min(Math.sqrt(Math.sqrt(light)) * perRoot, nodes)
      const left = at | 0
      const value = table[left]! + (at - left) * (table[left + 1]! - table[left]!)
      return Math.max(Math.min(value, top), 0)
    }
  }
}
