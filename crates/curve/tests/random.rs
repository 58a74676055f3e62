//! Whatever the points and the die: no panic, and what is told fits the die.

mod common;

use curve::{Die, Line, Run, solve};
use geometry::{Chain, DVec3, Segment};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn anything_goes(
        raw in prop::collection::vec((-1.0..1.0_f64, -1.0..1.0_f64, -0.5..0.5_f64), 2..7),
        radius in 0.02..0.4_f64, between in 0.0..0.3_f64, ends in (0.0..0.3_f64, 0.0..0.3_f64), most in 0.1..3.2_f64,
        within in 0.0005..0.05_f64, straight in any::<bool>(), scale in -3.0..2.0_f64,
    ) {
        let size = 10.0_f64.powf(scale);
        let points: Vec<DVec3> = raw.iter().map(|p| DVec3::new(p.0, p.1, p.2) * size).collect();
        let Ok(line) = Line::new(&points, if straight { Run::Straight } else { Run::Smooth }) else { return Ok(()) };
        let die = Die { radius, between, ends: [ends.0, ends.1], most };
        let a = solve(&line, &die, within);
        for t in &a.tries {
            prop_assert!(t.deviation.is_finite() && t.at_least <= t.deviation + 1e-12);
            let c = Chain::new(&t.corners, &vec![radius; t.bends]);
            prop_assert!(c.is_ok(), "{:?}", c);
            let c = c.unwrap();
            for s in &c.segments {
                if let Segment::Arc { sweep, .. } = s {
                    prop_assert!(*sweep <= most + 1e-8);
                }
            }
            for p in &line.places {
                prop_assert!(c.nearest(*p).1 <= t.deviation + 1e-8 * size.max(1.0));
            }
        }
        if let Some(k) = a.fewest {
            prop_assert!(a.proved <= a.tries[k].bends, "{} proved, {} found", a.proved, a.tries[k].bends);
        }
    }
}
