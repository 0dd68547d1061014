//! A smooth function of one variable on an interval, kept as a Chebyshev polynomial.
//!
//! The costly functions of the model (GERG-2008, TEOS-10) are smooth in the variable that a run needs, so they
//! are sampled once and evaluated as polynomials afterwards.

/// A polynomial of degree `N − 1` through a function's values at the Chebyshev nodes of `[low, high]`.
///
/// `f(x) ≈ Σ cₖ·Tₖ(u)`, `u = (2x − low − high)/(high − low)`. Source: any text on numerical analysis; the node and
/// coefficient formulas are those of Press et al., Numerical Recipes, section 5.8 (from memory).
///
/// The fit is made in Chebyshev polynomials and kept in powers of `u`, which for the low degrees used here loses no more
/// than a few units in the last place and is quicker to evaluate.
///
/// Outside the interval the polynomial is meaningless; callers check their range once, at the border.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cheb<const N: usize> {
    centre: f64,
    inverse_half_width: f64,
    powers: [f64; N],
}

impl<const N: usize> Cheb<N> {
    /// The nodes on `[low, high]`, in rising order.
    pub fn nodes(low: f64, high: f64) -> [f64; N] {
        std::array::from_fn(|i| {
            let angle = std::f64::consts::PI * (N as f64 - i as f64 - 0.5) / N as f64;
            0.5 * (low + high) + 0.5 * (high - low) * angle.cos()
        })
    }

    /// The polynomial that takes `values` at [`Cheb::nodes`] of `[low, high]`.
    pub fn through(low: f64, high: f64, values: &[f64; N]) -> Self {
        let n = N as f64;
        let chebyshev: [f64; N] = std::array::from_fn(|k| {
            let sum: f64 =
                (0..N).map(|i| values[i] * (std::f64::consts::PI * k as f64 * (n - i as f64 - 0.5) / n).cos()).sum();
            sum * if k == 0 { 1.0 } else { 2.0 } / n
        });
        Self { centre: 0.5 * (low + high), inverse_half_width: 2.0 / (high - low), powers: to_powers(&chebyshev) }
    }

    /// The fit of `f` on `[low, high]`.
    pub fn fit(low: f64, high: f64, f: impl FnMut(f64) -> f64) -> Self {
        Self::through(low, high, &Self::nodes(low, high).map(f))
    }

    /// Coefficients of the powers of `u`, the variable brought to −1..1.
    pub fn powers(&self) -> [f64; N] {
        self.powers
    }

    /// The value at `x`: Horner's rule on the even and the odd powers apart, two short chains instead of a long one.
    #[inline]
    pub fn at(&self, x: f64) -> f64 {
        let u = (x - self.centre) * self.inverse_half_width;
        let u2 = u * u;
        let (mut even, mut odd) = (0.0, 0.0);
        for k in (0..N).rev() {
            if k % 2 == 0 {
                even = even * u2 + self.powers[k];
            } else {
                odd = odd * u2 + self.powers[k];
            }
        }
        even + u * odd
    }
}

/// Coefficients of the powers of `u` from those of `Tₖ(u)`, by `Tₖ₊₁ = 2u·Tₖ − Tₖ₋₁`.
fn to_powers<const N: usize>(chebyshev: &[f64; N]) -> [f64; N] {
    let mut powers = [0.0; N];
    let (mut before, mut here) = ([0.0; N], [0.0; N]);
    here[0] = 1.0;
    for (k, c) in chebyshev.iter().enumerate() {
        for (power, t) in powers.iter_mut().zip(&here) {
            *power += c * t;
        }
        let mut next = [0.0; N];
        for i in 0..N {
            let shifted = if i == 0 { 0.0 } else { here[i - 1] };
            next[i] = if k == 0 { shifted } else { 2.0 * shifted - before[i] };
        }
        (before, here) = (here, next);
    }
    powers
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_polynomial_of_the_same_degree_is_exact() {
        let f = |x: f64| 3.0 - 2.0 * x + 0.5 * x * x * x;
        let cheb = Cheb::<4>::fit(-1.0, 7.0, f);
        for x in [-1.0, 0.0, 1.3, 6.9, 7.0] {
            assert!((cheb.at(x) - f(x)).abs() < 1e-12, "{x}");
        }
    }

    #[test]
    fn a_smooth_function_is_met_to_many_figures() {
        // exp on [0, 1] with 10 nodes: error below 2·(1/4)^10/10! ≈ 5e-13
        let cheb = Cheb::<10>::fit(0.0, 1.0, f64::exp);
        for i in 0..=20 {
            let x = f64::from(i) / 20.0;
            assert!((cheb.at(x) - x.exp()).abs() < 1e-12);
        }
    }
}
