//! All checks together: a normal distribution of the scores, in closed form for checks that say what the lift is, and by
//! expectation propagation for those that bound it on one side.
//!
//! A one-sided check multiplies the prior by `Φ(∓u/σ)` of its surplus `u`. Expectation propagation puts a normal factor
//! with precision `λ` and middle `μ` in its place, so that mean and variance of `u` are those with the true factor and all
//! other normal ones (Minka 2001; Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, section 3.6; from
//! memory). With one such check mean and variance are exact; the shape is put right by the weights of
//! [`crate::estimate::ties::Look`].

use crate::estimate::cholesky::{Cholesky, dot};
use crate::estimate::doubt::{Quantile, normal_share};
use crate::estimate::ties::{Look, Root, Side};
use crate::study::calibrate::check::{Check, Outcome};
use crate::study::calibrate::lines::Lines;

/// Rounds of expectation propagation: one is exact for one check, a handful settle several.
const ROUNDS: usize = 50;
/// Relative change of a factor that counts as settled.
const SETTLED: f64 = 1e-9;
/// Precision below which a one-sided check says nothing, 1/kg².
const NO_PRECISION: f64 = 1e-9;

/// A normal factor in the place of a check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Site {
    /// Middle, kg.
    pub middle_kg: f64,
    /// One over its variance, 1/kg².
    pub precision: f64,
}

/// What is used of the checks: their lines in all unknowns, and a normal factor for each.
pub(crate) struct Posterior<'a> {
    lines: &'a Lines,
    deviations: &'a [f64],
    sites: Vec<Site>,
}

impl<'a> Posterior<'a> {
    /// Of checks with these lines and variances (kg²), given the standard deviations of the scores before.
    pub fn of(lines: &'a Lines, checks: &[&Check], variance_kg2: &[f64], deviations: &'a [f64]) -> Self {
        let site = |(check, variance): (&&Check, &f64)| match check.outcome.is_one_sided() {
            true => Site { middle_kg: 0.0, precision: 0.0 },
            false => Site { middle_kg: 0.0, precision: variance.recip() },
        };
        let sites = checks.iter().zip(variance_kg2).map(site).collect();
        let mut all = Self { lines, deviations, sites };
        all.settle(checks, variance_kg2);
        all
    }

    fn settle(&mut self, checks: &[&Check], variance_kg2: &[f64]) {
        let one_sided: Vec<usize> = (0..checks.len()).filter(|&c| checks[c].outcome.is_one_sided()).collect();
        for _ in 0..ROUNDS {
            let mut change = 0.0f64;
            for &c in &one_sided {
                let others = self.root(Some(c));
                let cavity_kg = self.lines.intercept_kg[c] + dot(&self.lines.slopes_kg[c], &others.mean);
                let cavity_kg2 = others.variance_of(&self.lines.slopes_kg[c]);
                let side = if checks[c].outcome == Outcome::CouldStay { -1.0 } else { 1.0 };
                let site = one_sided_site(cavity_kg, cavity_kg2, variance_kg2[c], side);
                change =
                    change.max((site.precision - self.sites[c].precision).abs() / site.precision.max(NO_PRECISION));
                self.sites[c] = site;
            }
            if change < SETTLED {
                break;
            }
        }
    }

    /// All unknowns after the checks, but for one of them.
    fn root(&self, without: Option<usize>) -> Root {
        let mut root = Root::independent(self.deviations);
        for (c, site) in self.sites.iter().enumerate() {
            if Some(c) != without && site.precision > NO_PRECISION {
                let intercept_kg = self.lines.intercept_kg[c] - site.middle_kg;
                root.see(intercept_kg, &self.lines.slopes_kg[c], site.precision.recip());
            }
        }
        root
    }

    /// All unknowns after the checks.
    pub fn all(&self) -> Root {
        self.root(None)
    }

    /// The first `own` unknowns after the checks. What the others add to a check is noise that checks of one rig share:
    /// `R + G_h·D_h·G_hᵀ = L·Lᵀ`, and `L⁻¹` makes checks with noise 1 of their lines.
    pub fn own(&self, own: usize) -> Root {
        let used: Vec<usize> = (0..self.sites.len()).filter(|&c| self.sites[c].precision > NO_PRECISION).collect();
        let hidden = |c: usize| -> Vec<f64> {
            let slopes = self.lines.slopes_kg[c][own..].iter();
            slopes.zip(&self.deviations[own..]).map(|(slope, deviation)| slope * deviation).collect()
        };
        let hidden: Vec<Vec<f64>> = used.iter().map(|&c| hidden(c)).collect();
        let noise = |i: usize, j: usize| {
            let own_kg2 = if i == j { self.sites[used[i]].precision.recip() } else { 0.0 };
            own_kg2 + dot(&hidden[i], &hidden[j])
        };
        let rows: Vec<Vec<f64>> = (0..used.len()).map(|i| (0..used.len()).map(|j| noise(i, j)).collect()).collect();
        let mut root = Root::independent(&self.deviations[..own]);
        // every check has noise of its own, so the matrix is positive definite
        let Ok(whitened) = Cholesky::of(&rows) else { return root };
        let intercepts: Vec<f64> = used.iter().map(|&c| self.lines.intercept_kg[c] - self.sites[c].middle_kg).collect();
        let intercepts = whitened.forward(&intercepts);
        let columns: Vec<Vec<f64>> = (0..own)
            .map(|j| whitened.forward(&used.iter().map(|&c| self.lines.slopes_kg[c][j]).collect::<Vec<f64>>()))
            .collect();
        for (i, intercept) in intercepts.into_iter().enumerate() {
            let slopes: Vec<f64> = columns.iter().map(|column| column[i]).collect();
            root.see(intercept, &slopes, 1.0);
        }
        root
    }

    /// What the checks say beyond the normal distribution of the first `own` unknowns, at whose `mean` both lines of a check
    /// meet. A check of another rig, with unknowns of its own, is left to that.
    pub fn looks(
        &self,
        checks: &[&Check],
        sigma_kg: &[f64],
        own: usize,
        shapes: &[Quantile],
        mean: &[f64],
    ) -> Vec<Look> {
        let figure = |(shape, score): (&Quantile, &f64)| shape.offset_at_score(*score) / shape.standard_uncertainty();
        let middle: Vec<f64> = shapes[..own].iter().zip(mean).map(figure).collect();
        let look = |c: usize| {
            let (slopes_kg, site_slopes_kg) =
                (self.lines.figure_slopes_kg[c][..own].to_vec(), self.lines.slopes_kg[c][..own].to_vec());
            let at_mean_kg = self.lines.intercept_kg[c] + dot(&site_slopes_kg, mean);
            Look {
                side: match checks[c].outcome {
                    Outcome::CouldStay => Side::Below,
                    Outcome::CouldNotStay => Side::Above,
                    _ => Side::Both,
                },
                sigma_kg: sigma_kg[c],
                intercept_kg: at_mean_kg - dot(&slopes_kg, &middle),
                slopes_kg,
                site_kg: self.lines.intercept_kg[c] - self.sites[c].middle_kg,
                site_slopes_kg,
                site_precision: self.sites[c].precision,
            }
        };
        let says_more = |&c: &usize| {
            let has_others = self.lines.slopes_kg[c][own..].iter().any(|slope| *slope != 0.0);
            let is_curved = self.lines.slopes_kg[c].iter().zip(&self.lines.figure_slopes_kg[c]).any(|(a, b)| a != b);
            let is_one_sided = checks[c].outcome.is_one_sided() && self.sites[c].precision > NO_PRECISION;
            !has_others && (is_one_sided || (is_curved && !checks[c].outcome.is_one_sided()))
        };
        (0..checks.len()).filter(says_more).map(look).collect()
    }
}

/// The normal factor that gives a normal surplus `N(μ, v)` the mean and the variance that it has after it was seen on one
/// side through a doubt of variance `σ²`: with `z = ±μ/√(v + σ²)` and `h = φ(z)/Φ(z)`,
/// `mean = μ ± v·h/√(v + σ²)` and `variance = v − v²·h·(z + h)/(v + σ²)`.
fn one_sided_site(mean_kg: f64, variance_kg2: f64, doubt_kg2: f64, side: f64) -> Site {
    let spread_kg = (variance_kg2 + doubt_kg2).sqrt();
    let z = side * mean_kg / spread_kg;
    let hazard = hazard(z);
    let after_kg = mean_kg + side * variance_kg2 * hazard / spread_kg;
    let after_kg2 = variance_kg2 - (variance_kg2 / spread_kg).powi(2) * hazard * (z + hazard);
    let precision = after_kg2.recip() - variance_kg2.recip();
    if !precision.is_finite() || precision <= NO_PRECISION {
        return Site { middle_kg: 0.0, precision: 0.0 };
    }
    Site { middle_kg: (after_kg / after_kg2 - mean_kg / variance_kg2) / precision, precision }
}

/// `φ(z)/Φ(z)`; far below zero `−z − 1/z`, to which it tends.
fn hazard(z: f64) -> f64 {
    if z < -30.0 {
        return -z - z.recip();
    }
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt() / normal_share(z)
}
