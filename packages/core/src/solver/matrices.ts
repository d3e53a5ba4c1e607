/** What core uses of ml-matrix. The build makes a file of its own of it, which falls away where no matrix is used. */
export { CholeskyDecomposition, inverse, Matrix, QrDecomposition, SVD } from 'ml-matrix'
