/** A number with its derivatives by a few parameters: exact derivatives for models written once. */
export class Dual {
  readonly value: number
  readonly slopes: readonly number[]

  constructor(value: number, slopes: readonly number[]) {
    this.value = value
    this.slopes = slopes
  }

  static parameters(values: ArrayLike<number>): Dual[] {
    return Array.from(
      values,
      (value, j) =>
        new Dual(
          value,
          Array.from(values, (_, k) => (k === j ? 1 : 0)),
        ),
    )
  }

  private map(value: number, slope: number): Dual {
    return new Dual(
      value,
      this.slopes.map((d) => d * slope),
    )
  }

  plus(other: Dual | number): Dual {
    if (typeof other === 'number') return this.map(this.value + other, 1)
    return new Dual(
      this.value + other.value,
      this.slopes.map((d, j) => d + other.slopes[j]!),
    )
  }

  times(other: Dual | number): Dual {
    if (typeof other === 'number') return this.map(this.value * other, other)
    return new Dual(
      this.value * other.value,
      this.slopes.map((d, j) => d * other.value + this.value * other.slopes[j]!),
    )
  }

  minus(other: Dual | number): Dual {
    return this.plus(typeof other === 'number' ? -other : other.times(-1))
  }

  over(other: Dual): Dual {
    return this.times(other.map(1 / other.value, -1 / other.value ** 2))
  }

  exp(): Dual {
    return this.map(Math.exp(this.value), Math.exp(this.value))
  }

  log(): Dual {
    return this.map(Math.log(this.value), 1 / this.value)
  }

  /** this^power, for a positive base. */
  power(exponent: Dual | number): Dual {
    return typeof exponent === 'number'
      ? this.map(this.value ** exponent, exponent * this.value ** (exponent - 1))
      : this.log().times(exponent).exp()
  }
}
