//! The chance that a lead is right, from the ends of the lead range in every draw.

use crate::study::spread::interval::Chance;

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
}

/// The lead that meets both ends most often.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BestLead {
    /// Middle of the stretch below, kg.
    pub lead_kg: f64,
    /// The stretch over which the chance is greatest, kg.
    pub from_kg: f64,
    /// Its upper end, kg.
    pub to_kg: f64,
    /// The chance on it.
    pub chance: Chance,
}

impl LeadChances {
    /// From the least and the most lead of each draw, kg.
    pub fn of(ends_kg: impl Iterator<Item = (f64, f64)>) -> Self {
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
        Self { low_kg, high_kg, of }
    }

    /// The chance that a lead meets both ends.
    pub fn at(&self, lead_kg: f64) -> Chance {
        let begun = self.low_kg.partition_point(|&low| low <= lead_kg);
        let over = self.high_kg.partition_point(|&high| high < lead_kg);
        Chance::new(begun - over, self.of)
    }

    /// The lead that meets both ends in most draws; `None` when every draw's range is empty. Of equal ones the least.
    pub fn best(&self) -> Option<BestLead> {
        let (mut open, mut most_open, mut from) = (0usize, 0usize, 0usize);
        let mut over = 0;
        for (i, &low_kg) in self.low_kg.iter().enumerate() {
            while self.high_kg[over] < low_kg {
                over += 1;
                open -= 1;
            }
            open += 1;
            if open > most_open {
                (most_open, from) = (open, i);
            }
        }
        let from_kg = *self.low_kg.get(from)?;
        // The count stays until the first upper end at or after it: a lower end on the way would have raised it.
        let to_kg = self.high_kg[self.high_kg.partition_point(|&high| high < from_kg)];
        let chance = Chance::new(most_open, self.of);
        Some(BestLead { lead_kg: 0.5 * (from_kg + to_kg), from_kg, to_kg, chance })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sweep_finds_the_deepest_overlap() {
        let ranges = [(1.0, 4.0), (2.0, 5.0), (3.0, 3.5), (6.0, 7.0), (9.0, 8.0)];
        let chances = LeadChances::of(ranges.into_iter());
        let best = chances.best().unwrap();
        assert_eq!((best.from_kg, best.to_kg, best.chance.hits, best.chance.of), (3.0, 3.5, 3, 5));
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

    #[test]
    fn less_than_no_lead_cannot_be_carried() {
        assert_eq!(LeadChances::of([(-2.0, -1.0)].into_iter()).best(), None);
        assert_eq!(LeadChances::of([(-2.0, 1.0)].into_iter()).best().unwrap().from_kg, 0.0);
    }
}
