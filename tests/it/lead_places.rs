//! The split of the lead: against every way tried by hand, levers worked by hand, mirrors, and what it must keep.

use lightpoint::internals::study::lead_places::{
    EVERY_MOST, LeadPlace, LeadSplit, Method, PROOF_NM, SplitAsk, least_torque, moves, worst_of,
};
use proptest::prelude::*;

/// Weight of a kilogram, N: what these levers are worked with.
const G: f64 = 9.80665;
/// A share of the torques added up: sums in another order differ by rounding, 1e-16 a term, and there are below a hundred.
const ROUNDING: f64 = 1e-12;

/// An ask that owns what it asks about.
#[derive(Clone, Debug)]
struct Case {
    base_nm: Vec<[f64; 2]>,
    places: Vec<LeadPlace>,
    pieces_kg: Vec<f64>,
    ditchable_kg: f64,
}

impl Case {
    fn ask(&self) -> SplitAsk<'_> {
        let Self { base_nm, places, pieces_kg, ditchable_kg } = self;
        SplitAsk { base_nm, places, pieces_kg, ditchable_kg: *ditchable_kg }
    }

    fn best(&self) -> Option<LeadSplit> {
        least_torque(&self.ask())
    }

    /// The largest torque that can be added up, N·m.
    fn scale_nm(&self) -> f64 {
        let most = |torques: &[[f64; 2]]| torques.iter().map(|nm| nm[0].hypot(nm[1])).fold(0.0, f64::max);
        let of_lead_nm = self.places.iter().map(|place| most(&place.per_kg_nm)).fold(0.0, f64::max);
        most(&self.base_nm) + self.pieces_kg.iter().sum::<f64>() * of_lead_nm
    }

    fn ditchable_kg(&self, at_kg: &[f64]) -> f64 {
        self.places.iter().zip(at_kg).filter(|(place, _)| place.lets_go).map(|(_, kg)| kg).sum()
    }

    /// Every piece told apart, every one at every place, all torques added up anew: what is missing of the ditchable
    /// share, and then the least worst torque.
    fn by_brute_force(&self) -> Option<(f64, f64)> {
        let (places, moments) = (self.places.len(), self.base_nm.len());
        let mut best: Option<(f64, f64)> = None;
        for mut way in 0..places.pow(self.pieces_kg.len() as u32) {
            let mut at_kg = vec![0.0; places];
            for piece_kg in &self.pieces_kg {
                at_kg[way % places] += piece_kg;
                way /= places;
            }
            if self.places.iter().zip(&at_kg).any(|(place, kg)| place.most_kg.is_some_and(|most| *kg > most + 1e-9)) {
                continue;
            }
            let axis = |t: usize, axis: usize| -> f64 {
                let of_lead = self.places.iter().zip(&at_kg).map(|(place, kg)| kg * place.per_kg_nm[t][axis]);
                self.base_nm[t][axis] + of_lead.sum::<f64>()
            };
            let worst_nm = (0..moments).map(|t| axis(t, 0).hypot(axis(t, 1))).fold(0.0, f64::max);
            let lacks_kg = (self.ditchable_kg - self.ditchable_kg(&at_kg)).max(0.0);
            // sums of halves and quarters are exact, so what is missing compares exactly
            if best.is_none_or(|best| (lacks_kg, worst_nm) < best) {
                best = Some((lacks_kg, worst_nm));
            }
        }
        best
    }

    fn check(&self, split: &LeadSplit) {
        let mut given: Vec<f64> = split.pieces_kg.concat();
        let mut pieces_kg = self.pieces_kg.clone();
        given.sort_by(f64::total_cmp);
        pieces_kg.sort_by(f64::total_cmp);
        assert_eq!(given, pieces_kg, "every piece once");
        for ((place, kg), pieces_kg) in self.places.iter().zip(&split.at_kg).zip(&split.pieces_kg) {
            assert!((kg - pieces_kg.iter().sum::<f64>()).abs() < 1e-9 && pieces_kg.is_sorted_by(|a, b| a >= b));
            // half a gram: what rounding may leave out
            assert!(place.most_kg.is_none_or(|most_kg| *kg <= most_kg + 0.5e-3), "{} has {kg}", place.name);
        }
        let missing_kg = self.ditchable_kg - split.lacks_ditchable_kg - self.ditchable_kg(&split.at_kg);
        assert!(missing_kg <= 0.5e-3 + 1e-9, "{missing_kg} kg too little to let go");
        assert_eq!(worst_of(&self.ask(), &split.at_kg), (split.worst_at, split.worst_nm));
    }
}

fn place(name: &str, per_kg_nm: Vec<[f64; 2]>) -> LeadPlace {
    LeadPlace { name: name.to_owned(), lets_go: false, most_kg: None, per_kg_nm }
}

/// A lever: places at so many metres headward and to the left, where a kilogram of lead pulls down with its weight.
fn lever(base_nm: Vec<[f64; 2]>, at_m: &[[f64; 2]], pieces_kg: Vec<f64>) -> Case {
    let moments = base_nm.len();
    let at = |at_m: &[f64; 2]| place("a place", vec![at_m.map(|m| -G * m); moments]);
    Case { base_nm, places: at_m.iter().map(at).collect(), pieces_kg, ditchable_kg: 0.0 }
}

fn off_by_nm(split: &LeadSplit) -> f64 {
    match split.method {
        Method::Every => 0.0,
        Method::Bounded { off_by_nm } | Method::BestFound { off_by_nm } => off_by_nm,
    }
}

fn torques(moments: usize, most_nm: f64) -> impl Strategy<Value = Vec<[f64; 2]>> {
    proptest::collection::vec([-most_nm..most_nm, -most_nm..most_nm], moments)
}

/// Up to so many pieces of a few masses at up to four places, some of which hold only so much or let go.
fn cases(pieces: usize) -> impl Strategy<Value = Case> {
    (1..=4usize, 1..6usize).prop_flat_map(move |(places, moments)| {
        let of_place = (torques(moments, 10.0), any::<bool>(), proptest::option::weighted(0.3, 0..16u32));
        let size = proptest::sample::select(vec![0.25, 0.5, 1.0, 1.5, 2.0]);
        let lists = (proptest::collection::vec(of_place, places), proptest::collection::vec(size, 0..=pieces));
        (torques(moments, 60.0), lists, proptest::option::of(0..20u32)).prop_map(
            |(base_nm, (places, pieces_kg), need)| {
                let place = |(per_kg_nm, lets_go, most): (_, _, Option<u32>)| LeadPlace {
                    lets_go,
                    most_kg: most.map(|halves| 0.5 * f64::from(halves)),
                    ..place("a place", per_kg_nm)
                };
                let ditchable_kg = need.map_or(0.0, |halves| 0.5 * f64::from(halves));
                Case { base_nm, places: places.into_iter().map(place).collect(), pieces_kg, ditchable_kg }
            },
        )
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_way_is_better(case in cases(6)) {
        compare(&case);
    }

    // the diver seen in a mirror: left is right, or head is feet
    #[test]
    fn a_mirror_mirrors_the_split(case in cases(6), pitch in any::<bool>(), roll in any::<bool>()) {
        let sign = [if pitch { -1.0 } else { 1.0 }, if roll { -1.0 } else { 1.0 }];
        let turn = |nm: &mut [f64; 2]| *nm = [nm[0] * sign[0], nm[1] * sign[1]];
        let mut mirror = case.clone();
        mirror.base_nm.iter_mut().for_each(turn);
        mirror.places.iter_mut().for_each(|place| place.per_kg_nm.iter_mut().for_each(turn));
        prop_assert_eq!(case.best(), mirror.best());
    }

    // with places the other way round the same masses are at the same places, or others as good to rounding
    #[test]
    fn the_order_of_places_is_no_matter(case in cases(6)) {
        let mut turned = case.clone();
        turned.places.reverse();
        let (split, other) = (case.best(), turned.best());
        prop_assert_eq!(split.is_some(), other.is_some());
        if let (Some(split), Some(other)) = (split, other) {
            prop_assert!((split.worst_nm - other.worst_nm).abs() <= ROUNDING * case.scale_nm());
            prop_assert_eq!(split.lacks_ditchable_kg, other.lacks_ditchable_kg);
        }
    }

    #[test]
    fn a_piece_moved_there_and_back_changes_nothing(case in cases(6)) {
        let Some(split) = case.best() else { return Ok(()) };
        for moved in moves(&case.ask(), &split) {
            let there = after(&split, moved.from, moved.to, moved.piece_kg, moved.worst_nm);
            let back = moves(&case.ask(), &there);
            let back = back.iter().find(|back| {
                (back.from, back.to, back.piece_kg) == (moved.to, moved.from, moved.piece_kg)
            });
            let back = back.expect("what was moved can be moved back");
            prop_assert!((back.worst_nm - split.worst_nm).abs() <= ROUNDING * case.scale_nm());
            prop_assert!((back.change_nm + moved.change_nm).abs() <= ROUNDING * case.scale_nm());
            let better = moved.allowed && moved.change_nm < -ROUNDING * case.scale_nm();
            prop_assert!(!better, "{moved:?} is better than the best");
        }
    }
}

proptest! {
    // each is 65536 ways at most
    #![proptest_config(ProptestConfig::with_cases(25))]

    #[test]
    fn no_way_of_eight_pieces_is_better(case in cases(8)) {
        compare(&case);
    }
}

fn compare(case: &Case) {
    match (case.best(), case.by_brute_force()) {
        (Some(split), Some((lacks_kg, worst_nm))) => {
            case.check(&split);
            assert_eq!(split.method, Method::Every);
            assert_eq!(split.lacks_ditchable_kg, lacks_kg);
            assert!((split.worst_nm - worst_nm).abs() <= ROUNDING * case.scale_nm(), "{} {worst_nm}", split.worst_nm);
        }
        (split, brute) => assert!(split.is_none() && brute.is_none(), "{split:?} {brute:?}"),
    }
}

/// The split with one piece moved.
fn after(split: &LeadSplit, from: usize, to: usize, piece_kg: f64, worst_nm: f64) -> LeadSplit {
    let mut there = LeadSplit { worst_nm, ..split.clone() };
    let at = there.pieces_kg[from].iter().position(|kg| *kg == piece_kg).unwrap();
    let piece_kg = there.pieces_kg[from].remove(at);
    there.pieces_kg[to].push(piece_kg);
    there.pieces_kg[to].sort_by(|a, b| b.total_cmp(a));
    there.at_kg[from] -= piece_kg;
    there.at_kg[to] += piece_kg;
    there
}

// Law of the lever: something lifts the head as 2 kg a metre headward would sink it. Of 6 kg at 1 m on each side,
// 4 - 2 = 2 kg too many headward is level.
#[test]
fn a_lever_by_hand() {
    let case = lever(vec![[2.0 * G, 0.0]], &[[1.0, 0.0], [-1.0, 0.0]], vec![1.0; 6]);
    let split = case.best().unwrap();
    assert_eq!((split.at_kg.as_slice(), split.method, split.tried), (&[4.0, 2.0][..], Method::Every, 7));
    assert!(split.worst_nm < 1e-12, "{}", split.worst_nm);
    // a kilogram from one end to the other is two kilogram metres, either way
    let moved = moves(&case.ask(), &split);
    assert_eq!(moved.iter().map(|moved| (moved.from, moved.to)).collect::<Vec<_>>(), [(0, 1), (1, 0)]);
    assert!(moved.iter().all(|moved| (moved.change_nm - 2.0 * G).abs() < 1e-12));
}

// The pull goes from 2 to 6 kg·m over the dive; what is level in its middle leaves 2 kg·m at both ends: 6 kg headward and
// 2 kg footward of 8.
#[test]
fn over_a_dive_both_ends_are_equally_bad() {
    let base_nm = (0..=40).map(|t| [(2.0 + 0.1 * f64::from(t)) * G, 0.0]).collect();
    let split = lever(base_nm, &[[1.0, 0.0], [-1.0, 0.0]], vec![2.0, 2.0, 2.0, 1.0, 1.0]).best().unwrap();
    assert_eq!(split.at_kg, [6.0, 2.0]);
    assert!((split.worst_nm - 2.0 * G).abs() < 1e-12);
}

// 3-4-5: a pitch of 3 kg·m and a roll of 4 kg·m that no lead in the middle mends are 5 kg·m.
#[test]
fn pitch_and_roll_add_at_a_right_angle() {
    let split = lever(vec![[3.0 * G, 4.0 * G]], &[[0.0, 0.0]], vec![1.0]).best().unwrap();
    assert!((split.worst_nm - 5.0 * G).abs() < 1e-12);
}

#[test]
fn of_equal_splits_the_one_at_fewer_places_then_the_earlier() {
    // one kilogram at each end, or both in the middle
    let middle = lever(vec![[0.0, 0.0]], &[[1.0, 0.0], [-1.0, 0.0], [0.0, 0.0]], vec![1.0, 1.0]);
    assert_eq!(middle.best().unwrap().at_kg, [0.0, 0.0, 2.0]);
    let twice = lever(vec![[G, 0.0]], &[[0.5, 0.0], [0.5, 0.0]], vec![1.0, 1.0]);
    assert_eq!(twice.best().unwrap().at_kg, [2.0, 0.0]);
}

#[test]
fn what_must_be_ditchable_is_and_a_pocket_holds_so_much() {
    let mut case = lever(vec![[4.0 * G, 0.0]], &[[1.0, 0.0], [0.0, 0.0], [-1.0, 0.0]], vec![1.0; 4]);
    assert_eq!(case.best().unwrap().at_kg, [4.0, 0.0, 0.0]);
    case.places[1].lets_go = true;
    case.ditchable_kg = 2.0;
    let split = case.best().unwrap();
    assert_eq!((split.at_kg.as_slice(), split.lacks_ditchable_kg), (&[2.0, 2.0, 0.0][..], 0.0));
    // taken off the belt is not allowed, put on it is
    let allowed = |from: usize| moves(&case.ask(), &split).iter().all(|moved| moved.from != from || moved.allowed);
    assert!(allowed(0) && !allowed(1));
    case.places[0].most_kg = Some(1.5);
    assert_eq!(case.best().unwrap().at_kg, [1.0, 3.0, 0.0]);
    // a belt that holds three of the five that must be ditchable, and nothing that lets go at all
    case.places[1].most_kg = Some(3.0);
    case.ditchable_kg = 5.0;
    let split = case.best().unwrap();
    assert_eq!((split.at_kg.as_slice(), split.lacks_ditchable_kg), (&[1.0, 3.0, 0.0][..], 2.0));
    case.places[1].lets_go = false;
    assert_eq!(case.best().unwrap().lacks_ditchable_kg, 5.0);
    case.places.iter_mut().for_each(|place| place.most_kg = Some(1.0));
    assert_eq!(case.best(), None, "four kilograms in three pockets of one");
}

#[test]
fn what_makes_no_sense_is_refused() {
    let good = lever(vec![[G, 0.0], [2.0 * G, 0.0]], &[[1.0, 0.0], [-1.0, 0.0]], vec![1.0, 2.0]);
    assert!(good.best().is_some());
    let refused = |spoil: &dyn Fn(&mut Case)| {
        let mut case = good.clone();
        spoil(&mut case);
        assert_eq!(case.best(), None, "{case:?}");
    };
    for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        refused(&|case| case.base_nm[1][0] = odd);
        refused(&|case| case.places[1].per_kg_nm[0][1] = odd);
        refused(&|case| case.pieces_kg[0] = odd);
        refused(&|case| case.ditchable_kg = odd);
    }
    refused(&|case| case.places[0].most_kg = Some(f64::NAN));
    refused(&|case| case.places[0].most_kg = Some(-1.0));
    refused(&|case| case.pieces_kg[0] = 0.0);
    refused(&|case| case.pieces_kg[0] = 1e308);
    refused(&|case| case.ditchable_kg = -1.0);
    refused(&|case| case.places[0].per_kg_nm.truncate(1));
    refused(&|case| case.places.clear());
    refused(&|case| case.base_nm.clear());
    let no_lead = Case { pieces_kg: vec![], ..good.clone() }.best().unwrap();
    assert_eq!((no_lead.at_kg.as_slice(), no_lead.worst_at), (&[0.0, 0.0][..], 1));
    assert!(worst_of(&Case { base_nm: vec![[f64::NAN, 0.0]; 2], ..good }.ask(), &[0.0, 0.0]).1.is_nan());
}

/// A dive of so many moments whose torque swings, over places along the body and at both sides of it; invented.
fn long_dive(moments: usize, at_m: &[[f64; 2]], pieces_kg: Vec<f64>, turn: f64) -> Case {
    let total_kg: f64 = pieces_kg.iter().sum();
    let base = |t: usize| {
        let x = t as f64 / moments as f64;
        [-total_kg * G * 0.1 + 20.0 * x + 6.0 * (12.0 * x + turn).sin(), 3.0 * (7.0 * x + 2.0 * turn).sin()]
    };
    let mut case = lever((0..moments).map(base).collect(), at_m, pieces_kg);
    case.places[0].lets_go = true;
    case.ditchable_kg = 0.2 * total_kg;
    case
}

const ALONG_THE_BODY: [[f64; 2]; 8] =
    [[-0.45, 0.0], [-0.72, 0.01], [0.11, 0.0], [-0.2, 0.0], [-0.5, 0.15], [-0.5, -0.15], [-1.1, 0.1], [-1.1, -0.1]];

/// All masses by place of pieces of one mass, and the least worst torque of those that keep the ditchable share.
fn every_composition(case: &Case) -> f64 {
    fn next(case: &Case, at_kg: &mut Vec<f64>, left: usize, least_nm: &mut f64) {
        if at_kg.len() + 1 < case.places.len() {
            for count in 0..=left {
                at_kg.push(count as f64 * case.pieces_kg[0]);
                next(case, at_kg, left - count, least_nm);
                at_kg.pop();
            }
            return;
        }
        at_kg.push(left as f64 * case.pieces_kg[0]);
        if case.ditchable_kg(at_kg) >= case.ditchable_kg - 0.5e-3 {
            *least_nm = least_nm.min(worst_of(&case.ask(), at_kg).1);
        }
        at_kg.pop();
    }
    let mut least_nm = f64::INFINITY;
    next(case, &mut Vec::new(), case.pieces_kg.len(), &mut least_nm);
    least_nm
}

// 24 pieces at six places are C(29, 5) = 118755 ways, just more than are all tried: few enough to try them all here.
#[test]
fn the_bound_holds_against_every_way() {
    for turn in 0..6 {
        let mut case = long_dive(12, &ALONG_THE_BODY[..6], vec![0.5; 24], f64::from(turn));
        for most_kg in [None, Some(2.0)] {
            case.places[2].most_kg = most_kg;
            let split = case.best().unwrap();
            case.check(&split);
            assert!(matches!(split.method, Method::Bounded { off_by_nm } if off_by_nm <= PROOF_NM + 1e-9), "{split:?}");
            if most_kg.is_none() {
                let least_nm = every_composition(&case);
                assert!(split.worst_nm >= least_nm - ROUNDING * case.scale_nm());
                assert!(split.worst_nm - off_by_nm(&split) <= least_nm, "{split:?} {least_nm}");
            }
        }
    }
}

// Two places more make the ways too many to try, and the answer stays that of the places before: pockets that hold
// nothing, or a pole so long that no piece does any good there. Sand does, so there the bound is weak, and says so.
#[test]
fn both_methods_agree() {
    for turn in 0..10 {
        let pieces_kg = [vec![2.0; 3], vec![1.0; 4], vec![0.5; 4]].concat();
        let few = long_dive(20, &ALONG_THE_BODY[..4], pieces_kg.clone(), f64::from(turn));
        let far: Vec<[f64; 2]> = [&ALONG_THE_BODY[..4], &[[500.0, 0.0], [-600.0, 0.0]]].concat();
        let pole = long_dive(20, &far, pieces_kg.clone(), f64::from(turn));
        let mut shut = long_dive(20, &ALONG_THE_BODY[..6], pieces_kg, f64::from(turn));
        shut.places[4..].iter_mut().for_each(|place| place.most_kg = Some(0.0));
        let few = few.best().unwrap();
        assert!(few.method == Method::Every && few.tried <= EVERY_MOST);
        for many in [pole, shut] {
            let split = many.best().unwrap();
            many.check(&split);
            let proven = matches!(split.method, Method::Bounded { off_by_nm } if off_by_nm <= PROOF_NM + 1e-6);
            assert!(proven || matches!(split.method, Method::BestFound { .. }) && many.places[4].most_kg.is_none());
            let above_nm = split.worst_nm - few.worst_nm;
            // a hair of torques of 500 m is wider than that of the few places
            let hair_nm = ROUNDING * many.scale_nm();
            assert!(above_nm >= -hair_nm && above_nm <= off_by_nm(&split) + hair_nm, "{above_nm}: {split:?}");
        }
    }
}

#[test]
fn sixty_four_pieces_at_eight_places() {
    let sizes = [vec![2.0; 10], vec![1.0; 24], vec![0.5; 30]].concat();
    let differ: Vec<f64> = (0..64).map(|i| 0.3 + 0.031 * f64::from(i)).collect();
    for pieces_kg in [vec![0.5; 64], sizes, differ] {
        let mut case = long_dive(400, &ALONG_THE_BODY, pieces_kg, 1.0);
        case.places[2].most_kg = Some(10.0);
        let split = case.best().unwrap();
        case.check(&split);
        assert!(split.method != Method::Every && off_by_nm(&split).is_finite() && off_by_nm(&split) < split.worst_nm);
        assert_eq!(case.best().unwrap(), split, "the same ask has the same answer");
        // none moved alone is better by more than the answer says
        let bound_nm = split.worst_nm - off_by_nm(&split);
        assert!(moves(&case.ask(), &split).iter().all(|moved| !moved.allowed || moved.worst_nm >= bound_nm));
    }
}

// A pile that does not divide into the belt: 63 pieces of 0.7 kg, a belt of 10 kg; 14 pieces are 9.8 kg.
#[test]
fn many_pieces_that_do_not_reach_the_ditchable_share_say_so() {
    let mut case = long_dive(50, &ALONG_THE_BODY, vec![0.7; 63], 0.5);
    case.places[0].most_kg = Some(10.0);
    case.ditchable_kg = 12.0;
    let split = case.best().unwrap();
    case.check(&split);
    assert!((split.at_kg[0] - 9.8).abs() < 1e-9 && (split.lacks_ditchable_kg - 2.2).abs() < 1e-9, "{split:?}");
    case.places.iter_mut().for_each(|place| place.most_kg = Some(5.0));
    assert_eq!(case.best(), None, "44.1 kg in eight pockets of 5");
}
