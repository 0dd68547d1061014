//! Draws: from the number of a draw to the values of all uncertain inputs.
//!
//! Every draw has its own stream: its values depend on the seed and its number alone, so draws may run in any order on
//! any number of threads, and one can be run again by itself.
//!
//! Draws come in blocks of [`BLOCK`]. Within a block the points of a scrambled Sobol' sequence fill the unit cube more
//! evenly than chance would; every block is scrambled anew, so blocks are independent of each other, which is what the
//! stopping rule of JCGM 101:2008, 7.9 asks of its blocks. (Owen 1997, SIAM J. Numer. Anal. 34, 1884, is the usual
//! source for scrambling; from memory.)
//!
//! Why Sobol' points, measured on a 70-minute dive with four cylinders and 25 factors (24 runs each; standard deviations,
//! the ends averaged over both ends of least and most lead; the measurement is an ignored test in `tests/it/doubt.rs`):
//!
//! | draws | sequence | mean | ends of the 95 % interval |
//! | --- | --- | --- | --- |
//! | 2048 | random | 0.044 kg | 0.084 kg |
//! | 2048 | Sobol' | 0.00006 kg | 0.048 kg |
//! | 8192 | random | 0.024 kg | 0.042 kg |
//! | 8192 | Sobol' | 0.00004 kg | 0.026 kg |
//!
//! So the ends need two and a half to three times fewer draws, and the mean is a matter of the first block. One block of
//! 8192 points gave the same ends as four of 2048, so short blocks cost nothing.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use crate::estimate::doubt::{Quantile, normal_quantile};
use crate::estimate::{Figures, Ties};
use crate::study::doubt::chosen::Chosen;

/// Draws in a block. A power of two, at which a Sobol' sequence is balanced, and above `100/(1 − 0.95) = 2000`, the
/// least that JCGM 101:2008, 7.9.4 allows for 95 % coverage (from memory). That clause also asks for at least `10⁴`;
/// here no run stops by itself before [`crate::study::doubt::MIN_BLOCKS`] blocks instead.
pub const BLOCK: u64 = 2048;

/// Dimensions that the Sobol' sequence has. Factors beyond it are drawn at random, which is no worse than plain
/// Monte Carlo in those.
pub const SOBOL_DIMENSIONS: usize = sobol_burley::NUM_DIMENSIONS as usize;

/// How the unit cube is filled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sequence {
    /// Scrambled Sobol' points, a new scramble for every block.
    #[default]
    Sobol,
    /// Independent pseudo-random numbers, one stream of a counter-based generator for each draw.
    Random,
}

/// Inputs that share one error, and so one coordinate of the unit cube. Most factors are a single input.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Factor {
    /// Name for tables: of the group, or of the one input.
    pub label: String,
    /// The group, if the inputs belong to one.
    pub group: Option<String>,
    /// The uncertain inputs, counted among those with a doubt.
    pub inputs: Vec<usize>,
}

/// The uncertain inputs of a dive, ready to be drawn.
///
/// Inputs of one group are fully correlated: one coordinate `p` moves them together, each to its own quantile
/// `x = F⁻¹(p)`. What they do not share is not modelled, so a group overstates how much its members move together.
///
/// Where checks tie the factors together ([`Ties`]) a coordinate stands for what is left of the doubt of its factor, and the
/// values come from all of them together; so coordinates are independent as before, and so are the studies that use them.
#[derive(Clone, Debug, PartialEq)]
pub struct Draws {
    central: Vec<f64>,
    quantiles: Vec<Quantile>,
    /// factor of each input
    factor_of: Vec<usize>,
    factors: Vec<Factor>,
    sequence: Sequence,
    seed: u64,
    /// values in the middle of all quantiles
    middle: Vec<f64>,
    ties: Option<Ties>,
    chosen: Chosen,
}

impl Draws {
    /// The draws of some inputs. Those without a doubt are left out; the others keep their order.
    pub fn new<'a>(figures: impl Into<Figures<'a>>, sequence: Sequence, seed: u64) -> Self {
        let Figures { inputs, ties } = figures.into();
        let mut draws = Self {
            central: vec![],
            quantiles: vec![],
            factor_of: vec![],
            factors: vec![],
            sequence,
            seed,
            middle: vec![],
            ties: ties.cloned(),
            chosen: Chosen::default(),
        };
        for input in inputs {
            let Some(doubt) = &input.estimate.doubt else { continue };
            let index = draws.middle.len();
            let before = ties.and_then(|ties| ties.before.get(index));
            let doubt = before.and_then(|before| before.doubt.as_ref()).unwrap_or(doubt);
            draws.middle.push(before.map_or(input.estimate.value, |before| before.value));
            draws.quantiles.push(Quantile::of(doubt));
            let known = draws.factors.iter().position(|factor| factor.group.is_some() && factor.group == input.group);
            let factor = known.unwrap_or_else(|| {
                let label = input.group.clone().unwrap_or_else(|| input.label.clone());
                draws.factors.push(Factor { label, group: input.group.clone(), inputs: vec![] });
                draws.factors.len() - 1
            });
            draws.factors[factor].inputs.push(index);
            draws.factor_of.push(factor);
        }
        draws.central = match ties {
            Some(ties) => draws.values_of(&ties.root.mean),
            None => draws.middle.clone(),
        };
        draws
    }

    /// Central values of the uncertain inputs, after the checks that tie them.
    pub fn central(&self) -> &[f64] {
        &self.central
    }

    /// The independent sources of doubt.
    pub fn factors(&self) -> &[Factor] {
        &self.factors
    }

    /// The coordinates of a draw, each strictly between 0 and 1, one for each factor.
    pub fn coordinates(&self, draw: u64) -> Vec<f64> {
        let point = |draw| unit_point(self.sequence, self.seed, draw, self.factors.len());
        let number = match self.ties.as_ref().filter(|ties| !ties.looks.is_empty()) {
            Some(ties) => self.chosen.of(draw, |draw| ties.log_weight(&point(draw))),
            None => draw,
        };
        point(number)
    }

    /// The values of the uncertain inputs at a point of the unit cube.
    pub fn values_at(&self, coordinates: &[f64]) -> Vec<f64> {
        if let Some(ties) = &self.ties {
            return self.values_of(&ties.scores_at(coordinates));
        }
        let offset = |i: usize| self.quantiles[i].offset(coordinates[self.factor_of[i]]);
        self.middle.iter().enumerate().map(|(i, middle)| middle + offset(i)).collect()
    }

    /// The values of the uncertain inputs at these standard normal scores of the factors, whatever ties those together.
    pub(crate) fn values_of(&self, scores: &[f64]) -> Vec<f64> {
        let offset = |i: usize| self.quantiles[i].offset_at_score(scores[self.factor_of[i]]);
        self.middle.iter().enumerate().map(|(i, middle)| middle + offset(i)).collect()
    }

    /// The shape of a factor's doubt, before any check.
    pub(crate) fn shape(&self, factor: usize) -> Quantile {
        self.quantiles[self.factors[factor].inputs[0]]
    }

    /// The factor of an uncertain input.
    pub(crate) fn source(&self, input: usize) -> usize {
        self.factor_of[input]
    }

    /// Score of a factor at a coordinate: the value of its first input, less its mean, over its standard deviation; of a
    /// factor that checks tie to others, its normal quantile.
    pub fn score(&self, factor: usize, coordinate: f64) -> f64 {
        if self.ties.is_some() {
            return normal_quantile(coordinate);
        }
        let quantile = &self.quantiles[self.factors[factor].inputs[0]];
        quantile.offset(coordinate) / quantile.standard_uncertainty()
    }

    /// Scores of all factors at a point of the unit cube.
    pub fn scores(&self, coordinates: &[f64]) -> Vec<f64> {
        coordinates.iter().enumerate().map(|(i, &coordinate)| self.score(i, coordinate)).collect()
    }

    /// The values of the uncertain inputs in a draw.
    pub fn values(&self, draw: u64) -> Vec<f64> {
        self.values_at(&self.coordinates(draw))
    }
}

/// Point number `draw` of the unit cube with so many dimensions.
pub fn unit_point(sequence: Sequence, seed: u64, draw: u64, dimensions: usize) -> Vec<f64> {
    let mut point = Vec::with_capacity(dimensions + 3);
    if sequence == Sequence::Sobol {
        let (block, index) = (draw / BLOCK, (draw % BLOCK) as u32);
        let scramble = mixed(seed, block);
        for set in 0..dimensions.min(SOBOL_DIMENSIONS).div_ceil(4) {
            let four = sobol_burley::sample_4d(index, set as u32, scramble);
            // the sequence has 23 bits: the middle of the cell is never 0 or 1
            point.extend(four.map(|p| f64::from(p) + 0.5 / f64::from(1 << 23)));
        }
        point.truncate(dimensions);
    }
    if point.len() < dimensions {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        random.set_stream(draw);
        // 52 bits, again the middle of the cell
        let mut next = || ((random.next_u64() >> 12) as f64 + 0.5) / (1u64 << 52) as f64;
        point.resize_with(dimensions, &mut next);
    }
    point
}

/// Seed of a block's scramble: the seed and the number of the block, mixed so that neighbours have nothing in common.
fn mixed(seed: u64, block: u64) -> u32 {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    random.set_stream(u64::MAX - block);
    random.next_u32()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{Estimate, Input, Origin};
    use crate::units::Quantity;

    fn input(estimate: Estimate, group: Option<&str>) -> Input {
        Input {
            path: crate::estimate::KeyPath::ROOT,
            label: "piece".into(),
            quantity: Quantity::Mass,
            estimate,
            origin: Origin::Estimated,
            group: group.map(Into::into),
            note: None,
        }
    }

    #[test]
    fn a_group_moves_together_and_exact_inputs_are_left_out() {
        let inputs = [
            input(Estimate::within(10.0, 1.0), Some("scale")),
            input(Estimate::exact(5.0), None),
            input(Estimate::within(20.0, 1.0), None),
            input(Estimate::within(-3.0, 2.0), Some("scale")),
        ];
        let draws = Draws::new(&inputs, Sequence::Sobol, 7);
        assert_eq!(draws.factors().len(), 2);
        assert_eq!(draws.factors()[0].inputs, [0, 2]);
        assert_eq!(draws.central(), [10.0, 20.0, -3.0]);
        for draw in 0..100 {
            let x = draws.values(draw);
            assert!(((x[2] + 3.0) - 2.0 * (x[0] - 10.0)).abs() < 1e-12);
        }
    }

    #[test]
    fn points_lie_inside_the_cube_and_a_block_is_even() {
        for sequence in [Sequence::Sobol, Sequence::Random] {
            let mut below_half = 0;
            for draw in 0..BLOCK {
                let point = unit_point(sequence, 3, draw, 260);
                assert_eq!(point.len(), 260);
                assert!(point.iter().all(|p| *p > 0.0 && *p < 1.0));
                below_half += u64::from(point[0] < 0.5);
            }
            // a Sobol' block has exactly half of its points on each side
            if sequence == Sequence::Sobol {
                assert_eq!(below_half, BLOCK / 2);
            }
        }
    }

    #[test]
    fn blocks_and_seeds_differ() {
        let first = |seed, draw| unit_point(Sequence::Sobol, seed, draw, 1)[0];
        assert_ne!(first(1, 0), first(1, BLOCK));
        assert_ne!(first(1, 0), first(2, 0));
        assert_eq!(first(9, 12_345), first(9, 12_345));
    }
}
