//! The chance that a lead is right, from the ends of the lead range in every draw.

use crate::study::doubt::interval::Chance;
use crate::study::doubt::outlook::Worth;

/// The ends of the lead range of all draws, sorted.
///
/// Lead `L` meets both ends in a draw when `max(least, 0) ≤ L ≤ most`. The share of draws in which it does is a step
/// function that rises at each lower end and falls after each upper end, so sweeping the sorted ends finds its greatest
/// value exactly; no curve is fitted.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadChances {
    /// lower and upper ends of the ranges that are not empty, each sorted
    low_kg: Vec<f64>,
    high_kg: Vec<f64>,
    /// draws that gave a result, empty ranges included
    of: usize,
    worth: Worth,
}

/// The lead that meets both ends most often.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BestLead {
    /// Middle of the stretch over which the chance is greatest, kg.
    pub lead_kg: f64,
    /// The greatest chance.
    pub chance: Chance,
    /// The stretch around it over which the chance stays above the lower confidence limit of the greatest one, kg: the
    /// draws do not tell these leads apart. The greatest one itself moves about in it from seed to seed.
    pub from_kg: f64,
    /// Its upper end, kg.
    pub to_kg: f64,
}

impl LeadChances {
    /// From the least and the most lead of each draw, kg.
    pub fn of(ends_kg: impl Iterator<Item = (f64, f64)>) -> Self {
        Self::worth(ends_kg, Worth::RUN)
    }

    /// The same from draws that are worth so much.
    pub(crate) fn worth(ends_kg: impl Iterator<Item = (f64, f64)>, worth: Worth) -> Self {
        let (mut low_kg, mut high_kg, mut of) = (Vec::new(), Vec::new(), 0);
        for (least_kg, most_kg) in ends_kg {
            of += 1;
            let least_kg = least_kg.max(0.0);
            if least_kg <= most_kg {
                low_kg.push(least_kg);
                high_kg.push(most_kg);
            }
        }
        low_kg.sort_unstable_by(f64::total_cmp);
        high_kg.sort_unstable_by(f64::total_cmp);
        Self { low_kg, high_kg, of, worth }
    }

    /// The chance that a lead meets both ends.
    pub fn at(&self, lead_kg: f64) -> Chance {
        self.chance(lead_kg, self.held(lead_kg, 0.0))
    }

    /// Ranges that hold a lead when each reaches so much farther on both sides. An empty one stays empty.
    fn held(&self, lead_kg: f64, farther_kg: f64) -> usize {
        let begun = self.low_kg.partition_point(|&low| low <= lead_kg + farther_kg);
        let over = self.high_kg.partition_point(|&high| high < lead_kg - farther_kg);
        begun.saturating_sub(over)
    }

    fn chance(&self, lead_kg: f64, hits: usize) -> Chance {
        let off_kg = self.worth.off_kg;
        Chance::between(
            [self.held(lead_kg, -off_kg).min(hits), hits, self.held(lead_kg, off_kg).max(hits)],
            self.of,
            self.worth.floor_frac,
        )
    }

    /// The lead that meets both ends in most draws; `None` when every draw's range is empty. Of equal ones the least.
    pub fn best(&self) -> Option<BestLead> {
        let stretches = self.stretches();
        let most = stretches.iter().map(|stretch| stretch.count).max()?;
        let best = stretches.iter().position(|stretch| stretch.count == most)?;
        let lead_kg = 0.5 * (stretches[best].from_kg + stretches[best].to_kg);
        let chance = self.chance(lead_kg, most);
        let as_good = |stretch: &&Stretch| stretch.count as f64 >= chance.confidence.low * self.of as f64;
        let from_kg = stretches[..=best].iter().rev().take_while(as_good).last()?.from_kg;
        let to_kg = stretches[best..].iter().take_while(as_good).last()?.to_kg;
        Some(BestLead { lead_kg, chance, from_kg, to_kg })
    }

    /// The chance as a step function: from every end to the next, in rising order. At an end itself, which belongs to its
    /// range, the count may be higher than on both sides; such a point is a stretch of no length.
    fn stretches(&self) -> Vec<Stretch> {
        let mut stretches = Vec::with_capacity(2 * self.low_kg.len());
        let (mut begun, mut over) = (0, 0);
        while over < self.high_kg.len() {
            // lower ends first: a range holds its own ends
            let (next_low, next_high) = (self.low_kg.get(begun), self.high_kg[over]);
            let at_kg = match next_low {
                Some(&low_kg) if low_kg <= next_high => {
                    begun += 1;
                    low_kg
                }
                _ => {
                    over += 1;
                    next_high
                }
            };
            let then_kg = self.low_kg.get(begun).copied().unwrap_or(f64::INFINITY);
            let to_kg = self.high_kg.get(over).map_or(at_kg, |&high_kg| high_kg.min(then_kg));
            stretches.push(Stretch { from_kg: at_kg, to_kg, count: begun - over });
        }
        stretches
    }
}

/// A stretch of lead over which as many ranges hold it.
struct Stretch {
    from_kg: f64,
    to_kg: f64,
    count: usize,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sweep_finds_the_deepest_overlap() {
        let ranges = [(1.0, 4.0), (2.0, 5.0), (3.0, 3.5), (6.0, 7.0), (9.0, 8.0)];
        let chances = LeadChances::of(ranges.into_iter());
        let best = chances.best().unwrap();
        assert_eq!((best.lead_kg, best.chance.hits, best.chance.of), (3.25, 3, 5));
        // with five draws hardly any lead can be told from another
        assert_eq!((best.from_kg, best.to_kg), (1.0, 5.0));
        assert_eq!(chances.at(2.0).hits, 2);
        assert_eq!(chances.at(4.0).hits, 2); // both ends belong to the range
        assert_eq!(chances.at(5.5).hits, 0);
    }

    #[test]
    fn the_sweep_agrees_with_counting() {
        // a fixed scatter of ranges
        let ranges: Vec<(f64, f64)> =
            (0..200u32).map(|i| (f64::from(i * 37 % 101) / 10.0, f64::from(i * 53 % 97) / 8.0)).collect();
        let chances = LeadChances::of(ranges.iter().copied());
        let count = |lead: f64| ranges.iter().filter(|(low, high)| (*low..=*high).contains(&lead)).count();
        let best = chances.best().unwrap();
        assert_eq!(best.chance.hits, count(best.lead_kg));
        for i in 0..1300 {
            let lead = f64::from(i) / 100.0;
            assert!(count(lead) <= best.chance.hits);
            assert_eq!(count(lead), chances.at(lead).hits);
        }
    }

    // Every range holds 5 to 15 kg and reaches farther by up to 5 kg on both sides, evenly: the chance is 1 between and
    // falls by a fifth a kilogram beyond, so what is as good reaches to where it passes the lower confidence limit.
    #[test]
    fn leads_that_cannot_be_told_apart_are_one_stretch() {
        let ranges = (0..1000).map(|k| (5.0 - f64::from(k) / 200.0, 15.0 + f64::from(k) / 200.0));
        let best = LeadChances::of(ranges).best().unwrap();
        assert_eq!((best.lead_kg, best.chance.hits), (10.0, 1000));
        let slack = 5.0 * (1.0 - best.chance.confidence.low);
        assert!(
            (best.from_kg - (5.0 - slack)).abs() < 0.006 && (best.to_kg - (15.0 + slack)).abs() < 0.006,
            "{best:?}"
        );
    }

    #[test]
    fn less_than_no_lead_cannot_be_carried() {
        assert_eq!(LeadChances::of([(-2.0, -1.0)].into_iter()).best(), None);
        assert_eq!(LeadChances::of([(-2.0, 1.0)].into_iter()).best().unwrap().lead_kg, 0.5);
    }
}
