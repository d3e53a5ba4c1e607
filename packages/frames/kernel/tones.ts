/*
 * Tones of a picture of interleaved red, green and blue in singles.
 */

/** The least of each channel of `count` pixels to `ends`, and behind it the largest, as far as they go beyond what is there. */
export function extremes(from: usize, count: i32, ends: usize): void {
  let least = v128.load(ends)
  let most = v128.load(ends + 16)
  for (let k = 0; k < count; k++, from += 12) {
    const samples = v128.load(from)
    least = f32x4.pmin(least, samples)
    most = f32x4.pmax(most, samples)
  }
  v128.store(ends, least)
  v128.store(ends + 16, most)
}

/**
 * Of every third single up to `end` its level over `low`, as a part of `range`: 0 below, `ceiling` at most.
 */
export function stretch(from: usize, end: usize, low: f64, range: f64, ceiling: f64): void {
  for (; from < end; from += 12) {
    const level = (<f64>load<f32>(from) - low) / range
    store<f32>(from, level <= 0 ? 0 : <f32>min(ceiling, level))
  }
}

/**
 * The same, bent: by straight lines between `powers` of `steps` equal parts of 1. Levels from 1 on, and those below `least`, stay
 * as they are; where they are goes to `left`, bytes.
 *
 * @returns how many they are
 */
export function bend(
  from: usize, end: usize, low: f64, range: f64, powers: usize, steps: f64, least: f64, left: usize,
): i32 {
  let count = 0
  for (; from < end; from += 12) {
    const level = (<f64>load<f32>(from) - low) / range
    if (level <= 0) store<f32>(from, 0)
    else if (level < least || level >= 1) {
      store<i32>(left + (<usize>count << 2), <i32>from)
      count++
    } else {
      const place = level * steps
      const k = floor(place)
      const at = powers + (<usize>k << 3)
      const power = load<f64>(at)
      store<f32>(from, <f32>(power + (place - k) * (load<f64>(at + 8) - power)))
    }
  }
  return count
}
