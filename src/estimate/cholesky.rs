//! Symmetric positive definite matrices: the Cholesky factor, what is solved with it, and least squares.
//!
//! `A = L·Lᵀ` with `L` lower triangular and a positive diagonal,
//!
//! `l_jj = √(a_jj − Σ_{k<j} l_jk²)` · `l_ij = (a_ij − Σ_{k<j} l_ik·l_jk)/l_jj` for `i > j`
//!
//! (Golub and Van Loan, Matrix Computations, section 4.2; from memory.) The matrices of the studies have as many rows as
//! a plan has doubtful figures or a diver has made checks, some dozens at most, so nothing is blocked or packed.

use thiserror::Error;

/// A matrix that is not positive definite, or so near to it that rounding cannot tell.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[error("the matrix is not positive definite: row {row} leaves {pivot:e}")]
pub struct NotPositiveDefinite {
    /// The row, counted from 0.
    pub row: usize,
    /// What is left of its diagonal element once the rows before are taken off; NaN for a matrix with a NaN.
    pub pivot: f64,
}

/// Sum of the products of two rows, in their order.
pub fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The Cholesky factor of a matrix.
#[derive(Clone, Debug, PartialEq)]
pub struct Cholesky {
    /// row `i` of `L` has `i + 1` elements
    rows: Vec<Vec<f64>>,
}

impl Cholesky {
    /// Takes a matrix apart, given by its rows; only what is on and below the diagonal is looked at.
    ///
    /// # Errors
    /// A pivot that is not above what rounding leaves, `n·ε·a_jj`.
    ///
    /// ```
    /// use lightpoint::internals::estimate::cholesky::Cholesky;
    /// let root = Cholesky::of(&[vec![4.0], vec![2.0, 5.0]])?;
    /// assert_eq!(root.solve(&[8.0, 8.0]), [1.5, 1.0]);
    /// # Ok::<(), lightpoint::internals::estimate::cholesky::NotPositiveDefinite>(())
    /// ```
    pub fn of(matrix: &[Vec<f64>]) -> Result<Self, NotPositiveDefinite> {
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(matrix.len());
        for (i, given) in matrix.iter().enumerate() {
            let mut row = Vec::with_capacity(i + 1);
            for (j, above) in rows.iter().enumerate() {
                row.push((given[j] - dot(&row, above)) / above[j]);
            }
            let pivot = given[i] - dot(&row, &row);
            let rounding = matrix.len() as f64 * f64::EPSILON * given[i];
            if pivot.is_nan() || pivot <= rounding.max(0.0) {
                return Err(NotPositiveDefinite { row: i, pivot });
            }
            row.push(pivot.sqrt());
            rows.push(row);
        }
        Ok(Self { rows })
    }

    /// `x` of `A·x = b`: forward through `L`, backward through `Lᵀ`.
    pub fn solve(&self, right: &[f64]) -> Vec<f64> {
        let mut x = self.forward(right);
        for i in (0..x.len()).rev() {
            x[i] /= self.rows[i][i];
            for j in 0..i {
                x[j] -= self.rows[i][j] * x[i];
            }
        }
        x
    }

    /// `y` of `L·y = b`. The square of its length is `bᵀA⁻¹b`.
    pub fn forward(&self, right: &[f64]) -> Vec<f64> {
        let mut y: Vec<f64> = Vec::with_capacity(right.len());
        for (i, (row, b)) in self.rows.iter().zip(right).enumerate() {
            y.push((b - dot(row, &y)) / row[i]);
        }
        y
    }

    /// `L·z`: independent standard normal numbers become ones with the covariance `A`.
    pub fn times(&self, z: &[f64]) -> Vec<f64> {
        self.rows.iter().map(|row| dot(row, z)).collect()
    }

    /// `A⁻¹`, row by row.
    pub fn inverse(&self) -> Vec<Vec<f64>> {
        let unit = |i: usize| (0..self.rows.len()).map(|j| f64::from(u8::from(i == j))).collect::<Vec<f64>>();
        (0..self.rows.len()).map(|i| self.solve(&unit(i))).collect()
    }
}

/// Least squares by the normal equations, `XᵀX·b = Xᵀy`, for several `y` at once; rows are added one after the other.
#[derive(Clone, Debug, PartialEq)]
pub struct LeastSquares {
    /// `XᵀX`, on and below the diagonal
    normal: Vec<Vec<f64>>,
    /// `Xᵀy`, one row for each `y`
    right: Vec<Vec<f64>>,
}

impl LeastSquares {
    /// Nothing added yet.
    pub fn new(unknowns: usize, values: usize) -> Self {
        Self { normal: (0..unknowns).map(|i| vec![0.0; i + 1]).collect(), right: vec![vec![0.0; unknowns]; values] }
    }

    /// Adds a row of `X` with its values.
    pub fn add(&mut self, row: &[f64], values: &[f64]) {
        for (sums, x) in self.normal.iter_mut().zip(row) {
            sums.iter_mut().zip(row).for_each(|(sum, other)| *sum += x * other);
        }
        for (sums, y) in self.right.iter_mut().zip(values) {
            sums.iter_mut().zip(row).for_each(|(sum, x)| *sum += x * y);
        }
    }

    /// The coefficients, a row for each `y`.
    ///
    /// # Errors
    /// Rows that do not determine them.
    pub fn solve(&self) -> Result<Vec<Vec<f64>>, NotPositiveDefinite> {
        let root = Cholesky::of(&self.normal)?;
        Ok(self.right.iter().map(|right| root.solve(right)).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Worked by hand: [[25, 15, −5], [15, 18, 0], [−5, 0, 11]] = L·Lᵀ with L = [[5], [3, 3], [−1, 1, 3]].
    #[test]
    fn a_matrix_of_whole_numbers() {
        let a = [vec![25.0], vec![15.0, 18.0], vec![-5.0, 0.0, 11.0]];
        let root = Cholesky::of(&a).unwrap();
        assert_eq!(root.rows, [vec![5.0], vec![3.0, 3.0], vec![-1.0, 1.0, 3.0]]);
        assert_eq!(root.times(&[1.0, 1.0, 1.0]), [5.0, 6.0, 3.0]);
        // A·(1, 2, 3)ᵀ = (40, 51, 28)ᵀ; determinant (5·3·3)² = 2025
        let x = root.solve(&[40.0, 51.0, 28.0]);
        assert!(x.iter().zip([1.0, 2.0, 3.0]).all(|(x, expected)| (x - expected).abs() < 1e-14), "{x:?}");
        // the cofactor of the first element over the determinant: 18·11/2025
        assert!((root.inverse()[0][0] - 198.0 / 2025.0).abs() < 1e-16);
        let y = root.forward(&[40.0, 51.0, 28.0]);
        // xᵀAx = 40 + 2·51 + 3·28
        assert!((dot(&y, &y) - 226.0).abs() < 1e-12);
    }

    // The Hilbert matrix a_ij = 1/(i + j + 1) of order 5 has an inverse of whole numbers with 25 in its first corner and
    // 179200 as its largest element (handbook table, from memory). Its condition is 5e5, so ten digits are left of sixteen.
    #[test]
    fn the_hilbert_matrix() {
        let a: Vec<Vec<f64>> = (0..5).map(|i| (0..5).map(|j| 1.0 / f64::from(i + j + 1)).collect()).collect();
        let inverse = Cholesky::of(&a).unwrap().inverse();
        assert!((inverse[0][0] - 25.0).abs() < 25.0 * 1e-10);
        assert!((inverse[3][3] - 179_200.0).abs() < 179_200.0 * 1e-10);
        for row in &inverse {
            assert!(row.iter().all(|x| (x - x.round()).abs() < 1e-10 * 179_200.0), "{row:?}");
        }
    }

    #[test]
    fn what_is_not_positive_definite_is_told() {
        // eigenvalues 3 and −1
        let indefinite = Cholesky::of(&[vec![1.0], vec![2.0, 1.0]]);
        assert_eq!(indefinite, Err(NotPositiveDefinite { row: 1, pivot: -3.0 }));
        // two rows that say the same leave nothing but rounding
        let x = 1.0 / 3.0;
        let singular = [vec![x * x], vec![x * 0.1, 0.1 * 0.1]];
        assert!(matches!(Cholesky::of(&singular), Err(NotPositiveDefinite { row: 1, .. })));
        assert!(Cholesky::of(&[vec![f64::NAN]]).is_err());
        assert!(Cholesky::of(&[vec![0.0]]).is_err());
        assert_eq!(Cholesky::of(&[]).unwrap().solve(&[]), [0.0; 0]);
    }

    // y = 2 − x + 3x² through five points, and the mean as the least squares of a constant
    #[test]
    fn least_squares_find_what_is_there() {
        let mut parabola = LeastSquares::new(3, 2);
        for x in [-2.0f64, -1.0, 0.0, 1.0, 3.0] {
            parabola.add(&[1.0, x, x * x], &[2.0 - x + 3.0 * x * x, 7.0]);
        }
        let found = parabola.solve().unwrap();
        for (row, expected) in found.iter().zip([[2.0, -1.0, 3.0], [7.0, 0.0, 0.0]]) {
            assert!(row.iter().zip(expected).all(|(x, e)| (x - e).abs() < 1e-12), "{row:?}");
        }
        let mut mean = LeastSquares::new(1, 1);
        [1.0, 2.0, 6.0].iter().for_each(|y| mean.add(&[1.0], &[*y]));
        assert!((mean.solve().unwrap()[0][0] - 3.0).abs() < 1e-14);
        assert!(LeastSquares::new(2, 1).solve().is_err());
    }
}
