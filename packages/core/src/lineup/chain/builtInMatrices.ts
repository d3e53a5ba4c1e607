import type { MatrixPrior } from './learnChain.ts'

/**
 * The six terms (rg, rb, gr, gb, br, bg) of the matrices that makers build in, for BT.709: mean and covariance over
 * least-squares matrices of eight measured sensors (J. Jiang, D. Liu, J. Gu, S. Süsstrunk, WACV 2013) in six CIE
 * illuminants, and 0.08² on the diagonal for sensors that are not among them. `builtInTerms` of the private package
 * `synthetic` computes them; a test there compares.
 */
export const builtInMatrices: MatrixPrior = {
  mean: [-0.75197, 0.00102, -0.14135, -0.29439, 0.04079, -0.52194],
  covariance: [
    [0.04216, -0.00894, 0.00463, 0.00375, -0.00322, 0.01085],
    [-0.00894, 0.01044, -0.00063, -0.00035, 0.00066, -0.00079],
    [0.00463, -0.00063, 0.00981, 0.00028, -0.00047, 0.00693],
    [0.00375, -0.00035, 0.00028, 0.01182, -0.00021, 0.00177],
    [-0.00322, 0.00066, -0.00047, -0.00021, 0.00718, -0.00205],
    [0.01085, -0.00079, 0.00693, 0.00177, -0.00205, 0.02432],
  ],
}
