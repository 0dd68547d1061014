//! Where a smooth quantity crosses zero, and where it is greatest.

/// Nodes of a moving stretch: the ends, and three between, closer to the ends (Chebyshev's points of the second kind).
pub(crate) const NODES: [f64; 5] = [0.0, 0.146_446_609_406_726_24, 0.5, 0.853_553_390_593_273_8, 1.0];

/// Coefficients of the powers of `x` in the polynomials that are one at one of the [`NODES`] and zero at the others
/// (Lagrange's), node by node: `Π (x − xⱼ)/(xᵢ − xⱼ)`.
const POWERS_OF_ONE: [[f64; 5]; 5] = powers_of_one();

const fn powers_of_one() -> [[f64; 5]; 5] {
    let mut all = [[0.0; 5]; 5];
    let mut node = 0;
    while node < 5 {
        let powers = &mut all[node];
        powers[0] = 1.0;
        let mut other = 0;
        while other < 5 {
            if other != node {
                // powers := powers·(x − x_other)/(x_node − x_other)
                let width = NODES[node] - NODES[other];
                let mut power = 4;
                while power > 0 {
                    powers[power] = (powers[power - 1] - powers[power] * NODES[other]) / width;
                    power -= 1;
                }
                powers[0] = -powers[0] * NODES[other] / width;
            }
            other += 1;
        }
        node += 1;
    }
    all
}

/// The polynomial of degree four through values at [`NODES`]; it says where to look, never what the value is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Quartic {
    /// coefficients of powers of the share of the stretch
    powers: [f64; 5],
}

impl Quartic {
    #[inline]
    pub fn through(values: [f64; 5]) -> Self {
        let mut powers = [0.0; 5];
        for (value, of_one) in values.into_iter().zip(&POWERS_OF_ONE) {
            for (power, share) in powers.iter_mut().zip(of_one) {
                *power += value * share;
            }
        }
        Self { powers }
    }

    #[inline]
    pub fn at(&self, x: f64) -> f64 {
        self.powers.iter().rev().fold(0.0, |sum, power| sum * x + power)
    }

    #[inline]
    fn slope(&self, x: f64) -> f64 {
        let [_, a, b, c, d] = self.powers;
        a + x * (2.0 * b + x * (3.0 * c + x * 4.0 * d))
    }

    /// Shares of the stretch at which it is flat, in rising order; most often there is none, which is seen at once from
    /// the slope's Bernstein coefficients: a polynomial lies between the least and the greatest of them.
    #[inline]
    pub fn flats(&self) -> impl Iterator<Item = f64> {
        let [_, a, b, c, d] = self.powers;
        let bernstein = [a, a + 2.0 * b / 3.0, a + 4.0 * b / 3.0 + c, a + 2.0 * b + 3.0 * c + 4.0 * d];
        let one_way = bernstein.iter().all(|k| *k >= 0.0) || bernstein.iter().all(|k| *k <= 0.0);
        // a cubic has three zeros at most; sixteen cells tell them apart unless two nearly cancel
        const CELLS: usize = 16;
        let quartic = *self;
        let cells = if one_way { 0 } else { CELLS };
        (0..cells).filter_map(move |cell| {
            let (mut low, mut high) = (cell as f64 / CELLS as f64, (cell + 1) as f64 / CELLS as f64);
            let rising = quartic.slope(high) > quartic.slope(low);
            if (quartic.slope(low) < 0.0) == (quartic.slope(high) < 0.0) {
                return None;
            }
            for _ in 0..20 {
                let middle = 0.5 * (low + high);
                if (quartic.slope(middle) < 0.0) == rising { low = middle } else { high = middle }
            }
            Some(0.5 * (low + high))
        })
    }
}

/// How closely a zero is located.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Close {
    by: f64,
    value: f64,
}

impl Close {
    /// Within a distance in the variable, or a value that is as good as zero, whichever is met first.
    pub fn to(by: f64, value: f64) -> Self {
        Self { by, value }
    }
}

/// A zero of `f` between `a` and `b`, at which it has the values `fa` and `fb` of different signs: the end of the last
/// bracket at which the sign is that of `fb`, so that what changes at the zero has changed there.
///
/// Bracketing by the rule of false position with halved weights ("Illinois"), which does not stall as the plain rule
/// does and hits a straight line at once. Source: Dowell and Jarratt 1971, BIT 11, 168 (from memory).
pub(crate) fn zero<E>(
    (mut a, mut fa): (f64, f64),
    (mut b, mut fb): (f64, f64),
    close: Close,
    mut f: impl FnMut(f64) -> Result<f64, E>,
) -> Result<f64, E> {
    let mut kept_b = 0;
    // false position closes in a handful of rounds; halving in between is the fuse that bounds them
    for round in 0..100 {
        if (b - a).abs() <= close.by || fb.abs() <= close.value {
            break;
        }
        let x = if round % 8 == 7 { 0.5 * (a + b) } else { b - fb * (b - a) / (fb - fa) };
        // never closer to an end than the accuracy, so that the bracket ends there
        let inset = (0.5 * close.by).min(0.25 * (b - a).abs());
        let x = x.clamp(a.min(b) + inset, a.max(b) - inset);
        let fx = f(x)?;
        if (fx < 0.0) == (fb < 0.0) {
            (b, fb) = (x, fx);
            if kept_b == 1 {
                fa *= 0.5;
            }
            kept_b = 1;
        } else {
            (a, fa) = (x, fx);
            if kept_b == 2 {
                fb *= 0.5;
            }
            kept_b = 2;
        }
    }
    Ok(b)
}

/// The place between two others at which `f` is greatest, and its value there; started from a guess between them, whose
/// parabola with the values at the ends makes the first step.
///
/// Successive parabolas through three points around the best one, safeguarded by the golden section. Source: Brent
/// 1973, Algorithms for Minimization without Derivatives, chapter 5 (from memory); the same idea in fewer words.
pub(crate) fn greatest(ends: [(f64, f64); 2], guess: f64, by: f64, mut f: impl FnMut(f64) -> f64) -> (f64, f64) {
    const GOLDEN: f64 = 0.381_966_011_250_105;
    let [mut low, mut high] = ends.map(|(x, _)| x);
    let (mut best, mut f_best) = (guess, f(guess));
    let higher = usize::from(ends[1].1 > ends[0].1);
    let ((mut second, mut f_second), (mut third, mut f_third)) = (ends[higher], ends[1 - higher]);
    let mut steps = [high - low; 2];
    while high - low > 2.0 * by {
        let r = (best - second) * (f_best - f_third);
        let q = (best - third) * (f_best - f_second);
        let step = 0.5 * ((best - third) * q - (best - second) * r) / (q - r);
        let fits = step.is_finite() && step.abs() < 0.5 * steps[0].abs() && best - step > low && best - step < high;
        let mut x = if fits {
            best - step
        } else if best - low > high - best {
            best - GOLDEN * (best - low)
        } else {
            best + GOLDEN * (high - best)
        };
        if (x - best).abs() < by {
            x = if x >= best { best + by } else { best - by };
        }
        if x <= low || x >= high {
            break;
        }
        steps = [steps[1], x - best];
        let fx = f(x);
        if fx > f_best {
            if x > best {
                low = best
            } else {
                high = best
            }
            (third, f_third, second, f_second, best, f_best) = (second, f_second, best, f_best, x, fx);
        } else {
            if x > best {
                high = x
            } else {
                low = x
            }
            if fx > f_second || second == best {
                (third, f_third, second, f_second) = (second, f_second, x, fx);
            } else if fx > f_third || third == best || third == second {
                (third, f_third) = (x, fx);
            }
        }
    }
    (best, f_best)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    #[test]
    fn a_quartic_is_met() {
        let f = |x: f64| 0.3 + x * (1.0 + x * (-4.0 + x * (2.5 + 0.7 * x)));
        let quartic = Quartic::through(NODES.map(f));
        for x in [0.0, 0.2, 0.77, 1.0] {
            assert!((quartic.at(x) - f(x)).abs() < 1e-13);
        }
        // slope 1 − 8x + 7.5x² + 2.8x³: zeros at 0.1421 and 0.7754 (bisection by hand to four figures)
        let flats: Vec<f64> = quartic.flats().collect();
        assert_eq!(flats.len(), 2, "{flats:?}");
        for flat in flats {
            assert!((1.0 - 8.0 * flat + 7.5 * flat * flat + 2.8 * flat.powi(3)).abs() < 1e-5);
        }
    }

    #[test]
    fn a_monotone_quartic_has_no_flats() {
        assert_eq!(Quartic::through(NODES.map(|x| x.exp())).flats().count(), 0);
        assert_eq!(Quartic::through(NODES.map(|x| -2.0 * x)).flats().count(), 0);
    }

    #[test]
    fn zeros_are_bracketed_from_the_far_side() {
        let mut calls = 0;
        let f = |x: f64| -> Result<f64, Infallible> {
            calls += 1;
            Ok(x * x * x - 2.0)
        };
        let close = Close { by: 1e-9, value: 0.0 };
        let Ok(root) = zero((0.0, -2.0), (3.0, 25.0), close, f);
        assert!((root - 2.0f64.cbrt()).abs() < 2e-9 && root * root * root >= 2.0, "{root}");
        assert!(calls < 25, "{calls}");
        // a straight line takes one look and one to close the bracket
        let Ok(line) = zero((0.0, 3.0), (10.0, -7.0), Close { by: 1e-6, value: 0.0 }, |x| Ok::<_, Infallible>(3.0 - x));
        assert!((line - 3.0).abs() < 1e-6);
    }

    #[test]
    fn the_top_of_a_hill_is_found() {
        let mut calls = 0;
        let hill = |x: f64| x.sin() * (-0.3 * x).exp();
        let (x, y) = greatest([0.0, 5.0].map(|x| (x, hill(x))), 0.4, 1e-6, |x| {
            calls += 1;
            hill(x)
        });
        // the derivative is zero at tan x = 1/0.3
        let top = (1.0f64 / 0.3).atan();
        assert!((x - top).abs() < 1e-5, "{x} {top}");
        assert!((y - top.sin() * (-0.3 * top).exp()).abs() < 1e-12);
        assert!(calls < 20, "{calls}");
    }
}
