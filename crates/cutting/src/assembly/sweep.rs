//! Whether a body that moves straight away runs into another.

use geometry::DVec3;
use geometry::convex::{Convex, Core};
use geometry::distance::segment_segment;

/// Bodies that come nearer than this while one moves touch: a twentieth of a millimetre. Contact that is meant (a cope's
/// ear that slides along its host) stays within it.
pub const TOUCH: f64 = 5e-5;

/// Steps of an advance at most: enough to creep past 50 mm of surface at [`TOUCH`] a step.
const STEPS: usize = 1000;

/// Least distance of a segment from a parallelogram a + x b + y c, x and y from 0 to 1: exact.
pub fn segment_parallelogram(p: DVec3, q: DVec3, a: DVec3, b: DVec3, c: DVec3) -> f64 {
    let n = b.cross(c);
    let mut best = f64::INFINITY;
    let flat = n.length() <= geometry::PARALLEL * b.length() * c.length();
    if !flat {
        let nn = n.length_squared();
        // Coordinates of a point's foot.
        let foot = |r: DVec3| {
            let d = r - a;
            (d.cross(c).dot(n) / nn, b.cross(d).dot(n) / nn)
        };
        let within = |(x, y): (f64, f64)| (0.0..=1.0).contains(&x) && (0.0..=1.0).contains(&y);
        let (hp, hq) = ((p - a).dot(n), (q - a).dot(n));
        if hp * hq <= 0.0 && (hp - hq).abs() > 0.0 && within(foot(p + (q - p) * (hp / (hp - hq)))) {
            return 0.0;
        }
        for (r, h) in [(p, hp), (q, hq)] {
            if within(foot(r)) {
                best = best.min(h.abs() / nn.sqrt());
            }
        }
    }
    for (e, f) in [(a, a + b), (a, a + c), (a + b, a + b + c), (a + c, a + b + c)] {
        best = best.min(segment_segment(p, q, e, f).0);
    }
    best
}

/// A body in another place.
pub fn moved(body: &Convex, by: DVec3) -> Convex {
    let core = match &body.core {
        Core::Segment(a, b) => Core::Segment(*a + by, *b + by),
        Core::Block(f, h) => Core::Block(f.at(f.origin + by), *h),
        Core::Cylinder(f, l, r) => Core::Cylinder(f.at(f.origin + by), *l, *r),
    };
    Convex { core, margin: body.margin }
}

/// Whether `body` runs into `other` on its way from where it is along `d` (unit) over a length. Capsules: exact. Others:
/// brought in from the far end, each step as long as the distance that is left, which can't jump over anything.
pub fn meets(body: &Convex, other: &Convex, d: DVec3, length: f64) -> bool {
    let (lo, hi) = body.bounds();
    let (lo2, hi2) = other.bounds();
    let by = d * length;
    if !((lo + by.min(DVec3::ZERO)).cmple(hi2).all() && lo2.cmple(hi + by.max(DVec3::ZERO)).all()) {
        return false;
    }
    if let (Core::Segment(a, b), Core::Segment(p, q)) = (&body.core, &other.core) {
        return segment_parallelogram(*p, *q, *a, *b - *a, by) < body.margin + other.margin - TOUCH;
    }
    let mut s = length;
    for _ in 0..STEPS {
        let near = moved(body, d * s).distance(other);
        if near < -TOUCH {
            return true;
        }
        // Touching counts as free: creep on, as far as may be passed without sinking in by more than that.
        s -= near.max(TOUCH);
        if s <= 0.0 {
            return moved(body, DVec3::ZERO).distance(other) < -TOUCH;
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn v() -> impl Strategy<Value = DVec3> {
        prop::array::uniform3(-1.0..1.0f64).prop_map(DVec3::from_array)
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]
        /// No sample of the parallelogram is nearer, and a close one is as near.
        #[test]
        fn the_parallelogram_s_distance_is_the_least_of_its_lines(p in v(), q in v(), a in v(), b in v(), c in v()) {
            let exact = segment_parallelogram(p, q, a, b, c);
            let n = 400;
            let least = (0..=n).map(|k| {
                let o = a + b * (k as f64 / n as f64);
                segment_segment(p, q, o, o + c).0
            }).fold(f64::INFINITY, f64::min);
            prop_assert!(least >= exact - 1e-9, "{least} {exact}");
            prop_assert!(least <= exact + b.length() / n as f64, "{least} {exact}");
        }

        /// A sweep says what close steps say.
        #[test]
        fn sweeps_agree_with_steps(p in v(), q in v(), o in v(), t in v(), d in v(), block in any::<bool>()) {
            prop_assume!(d.length() > 0.2 && t.length() > 0.2 && (q - p).length() > 0.1);
            let d = d.normalize();
            let rod = Convex::capsule(p, q, 0.1);
            let f = geometry::Frame::new(o, t, geometry::frame::any_across(t)).expect("a frame");
            let other = if block {
                Convex { core: Core::Block(f, DVec3::new(0.4, 0.1, 0.2)), margin: 0.05 }
            } else {
                Convex::capsule(o, o + t, 0.15)
            };
            let n = 2000;
            let least = (0..=n).map(|k| moved(&rod, d * (3.0 * k as f64 / n as f64)).distance(&other)).fold(f64::INFINITY, f64::min);
            // Steps of 1.5 mm stray from the least distance by less than that.
            if least < -1e-4 { prop_assert!(meets(&rod, &other, d, 3.0)); }
            if least > 2e-3 { prop_assert!(!meets(&rod, &other, d, 3.0)); }
        }
    }
}
