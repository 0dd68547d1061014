//! Draws chosen in proportion to what they are worth.

use std::sync::{Arc, OnceLock};

use crate::study::doubt::draw::BLOCK;

/// Blocks in which draws are chosen; beyond them, which no study reaches by itself, every draw is itself.
const BLOCKS: usize = 512;

/// For each draw of a block, which draw of the block takes its place: those of more weight more often (systematic
/// resampling: Kitagawa 1996, J. Comput. Graph. Stat. 5, 1; from memory). Blocks stay independent of each other. Worked
/// out when a block is first asked for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Chosen {
    blocks: Arc<Vec<OnceLock<Vec<u16>>>>,
}

impl Default for Chosen {
    fn default() -> Self {
        Self { blocks: Arc::new(vec![OnceLock::new(); BLOCKS]) }
    }
}

impl Chosen {
    /// The draw that takes the place of one.
    pub fn of(&self, draw: u64, log_weight: impl Fn(u64) -> f64) -> u64 {
        let (block, index) = (draw / BLOCK, (draw % BLOCK) as usize);
        let Some(place) = self.blocks.get(block as usize) else { return draw };
        let first = block * BLOCK;
        let chosen = place.get_or_init(|| {
            let logs: Vec<f64> = (first..first + BLOCK).map(log_weight).collect();
            resampled(&logs)
        });
        first + u64::from(chosen[index])
    }
}

/// As many indices as there are weights, in proportion to them, at even distances along their sum.
fn resampled(logs: &[f64]) -> Vec<u16> {
    let largest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = logs.iter().map(|log| (log - largest).exp()).collect();
    let total: f64 = weights.iter().sum();
    let count = weights.len();
    let (mut chosen, mut passed) = (Vec::with_capacity(count), 0.0);
    for (i, weight) in weights.iter().enumerate() {
        passed += weight;
        while chosen.len() < count && (chosen.len() as f64 + 0.5) * total < passed * count as f64 {
            chosen.push(i as u16);
        }
    }
    // rounding of the sum may leave the last place
    chosen.resize(count, count.saturating_sub(1) as u16);
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_are_met() {
        // weights 1, 3, 0, 4: eight places make one, three, none and four
        let logs = [1.0f64, 3.0, 0.0, 4.0].map(f64::ln);
        let twice: Vec<f64> = logs.iter().chain(&logs).copied().collect();
        assert_eq!(resampled(&twice), [1, 1, 3, 3, 5, 5, 7, 7]);
        assert_eq!(resampled(&[0.0; 3]), [0, 1, 2]);
    }

    #[test]
    fn a_block_keeps_to_itself() {
        let chosen = Chosen::default();
        let of = |draw| chosen.of(draw, |draw| if draw % 2 == 0 { 0.0 } else { f64::NEG_INFINITY });
        assert!((0..2 * BLOCK).all(|draw| of(draw) % 2 == 0 && of(draw) / BLOCK == draw / BLOCK));
        let far = BLOCK * BLOCKS as u64 + 1;
        assert_eq!(of(far), far);
    }
}
