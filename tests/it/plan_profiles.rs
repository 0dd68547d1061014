//! Every plan in `profiles/` builds, and a draw of its central values is the plan itself.

use std::path::Path;

use crate::common::plans;
use lightpoint::internals::plan::{Built, Plan};

fn built(path: &Path) -> (Plan, Built) {
    let plan = Plan::load(path).unwrap_or_else(|problems| panic!("{problems}"));
    let built = plan.build().unwrap_or_else(|problems| panic!("{problems}"));
    (plan, built)
}

#[test]
fn every_profile_builds_and_says_that_it_is_invented() {
    for path in plans() {
        let (plan, built) = built(&path);
        assert!(plan.title().to_lowercase().contains("invented"), "{path:?}");
        assert!(built.uncertain().count() >= 5, "{path:?}: several figures carry a doubt");
        assert!(built.scenario.profile().end_s() > 600.0, "{path:?}");
    }
}

#[test]
fn the_central_draw_is_the_plan() {
    for path in plans() {
        let (plan, built) = built(&path);
        let drawn = plan.build_draw(&built.central(), &built).unwrap();
        assert_eq!(drawn.segments(), built.scenario.segments(), "{path:?}");
        assert_eq!(drawn.rig().parts, built.scenario.rig().parts, "{path:?}");
        for (i, cylinder) in drawn.rig().cylinders.iter().enumerate() {
            // fills of a draw come from the gas table, whose error is Isotherm::TABLE_ERROR
            let share = drawn.filled_mol(i) / built.scenario.filled_mol(i);
            assert!((share - 1.0).abs() < 1e-6, "{path:?}: {}", cylinder.name());
        }
    }
}
