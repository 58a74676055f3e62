//! What is looked at through boxes and bounds is what a look at everything finds: random frames of straight and bent, round
//! and box, mirrored tubes, as points all over their surfaces.

mod common;

use std::sync::Arc;

use common::{HEAD, brute};
use geometry::{DVec2, DVec3};
use proptest::prelude::*;
use shape::Shape;
use stance::{Governed, Stood};

/// A tube's corners in mm (two are straight, three or four bent), whether it is a box, whether it has a twin.
type Drawn = (Vec<[f64; 3]>, bool, bool);

fn tubes() -> impl Strategy<Value = Vec<Drawn>> {
    let place = [-1700.0..1700.0f64, -700.0..700.0f64, 130.0..900.0f64];
    let tube = (prop::collection::vec(place, 2..5), any::<bool>(), any::<bool>());
    prop::collection::vec(tube, 1..9)
}

/// The frame on four wheels of radius 300, the front ones raised and one of them more than the other; or `None` where bends
/// do not fit.
fn frame(tubes: &[Drawn], raised: [f64; 2], more: &str) -> Option<Shape> {
    let mut points = String::from("[point]\n");
    let mut rest = String::new();
    for (i, (path, boxed, mirror)) in tubes.iter().enumerate() {
        let names: Vec<String> = (0..path.len()).map(|k| format!("\"p{i}_{k}\"")).collect();
        for (k, [x, y, z]) in path.iter().enumerate() {
            points += &format!("p{i}_{k} = [{x:.6}, {y:.6}, {z:.6}]\n");
        }
        // A box tube is not bent.
        let section = if *boxed && path.len() == 2 { "b" } else { "t" };
        rest += &format!(
            "[tube.t{i}]\nsection = \"{section}\"\npath = [{}]\nmirror = {mirror}\n{}",
            names.join(", "),
            if path.len() > 2 { "bend_radius = 90\n" } else { "" }
        );
    }
    for (name, x, y, up) in
        [("l", 1000.0, 700.0, raised[0]), ("r", 1000.0, -700.0, raised[1]), ("b", -1000.0, 0.0, 0.0)]
    {
        rest += &format!(
            "[wheel.{name}]\nat = [{x}, {y}, {:.6}]\nradius = 300\nwidth = 150\nkg = 10\nbump = 60\ndroop = 40\nsteer = {}\n",
            300.0 + up,
            if x > 0.0 { 30 } else { 0 }
        );
    }
    let text = format!("{HEAD}{points}{rest}{more}");
    let design = design::read(&text).ok()?.design;
    shape::resolve(Arc::new(design)).ok()
}

/// Points of every tube's surface: rings about 4 mm apart.
fn surfaces(shape: &Shape) -> Vec<(usize, Vec<DVec3>)> {
    let ring = |t: &shape::Tube, s: f64, out: &mut Vec<DVec3>| {
        let (i, along) = t.chain.locate(s);
        let f = match t.chain.segments[i] {
            geometry::Segment::Leg { .. } => t.frames[i],
            geometry::Segment::Arc { axis, radius, .. } => t.frames[i].turned(axis, along / radius),
        }
        .at(t.chain.point(s));
        out.extend((0..48).map(|k| {
            let station = t.outline.station(t.outline.perimeter() * f64::from(k) / 48.0);
            f.place(t.outline.point(station))
        }));
    };
    let all = |t: &shape::Tube| {
        let n = (t.chain.length() / 0.004).ceil() as usize;
        let mut out = Vec::new();
        (0..=n).for_each(|k| ring(t, t.chain.length() * k as f64 / n as f64, &mut out));
        out
    };
    shape.tubes.iter().enumerate().map(|(i, t)| (i, all(t))).collect()
}

fn hubs(s: &Stood) -> (DVec2, DVec2) {
    let ground = s.ground.unwrap();
    let hub = |k: usize| DVec2::new(ground.place(s.wheels[k].hub).x, 0.3);
    (0.5 * (hub(0) + hub(1)), hub(2))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 30, ..ProptestConfig::default() })]

    #[test]
    fn lowest_places_and_ramp_angles(tubes in tubes(), raised in [-40.0..40.0f64, -40.0..40.0f64]) {
        let Some(shape) = frame(&tubes, raised, "") else { return Ok(()) };
        let a = stance::stand(&shape);
        let s = &a.stances[0];
        let ground = s.ground.unwrap();
        let all: Vec<(usize, Vec<DVec3>)> =
            surfaces(&shape).into_iter().map(|(i, p)| (i, p.iter().map(|p| ground.place(*p)).collect())).collect();
        for (i, points) in &all {
            let low = s.lowest.iter().find(|l| l.name == shape.tubes[*i].name).unwrap();
            let dense = points.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
            prop_assert!(low.height < dense + 1e-12 && low.height > dense - 1e-3, "{low:?} {dense}");
            prop_assert!((ground.over(low.at) - low.height).abs() < 1e-12);
            // Its station is where it is.
            let t = &shape.tubes[*i];
            prop_assert!(t.chain.point(low.station.unwrap()).distance(low.at) < t.outline.reach() + 1e-9, "{low:?}");
        }
        let (front, rear) = hubs(s);
        let right = std::f64::consts::FRAC_PI_2;
        let side = |x: f64, z: f64| {
            let far = x.hypot(z - 0.3);
            (x > 0.0 && far > 0.3001).then(|| (z - 0.3).atan2(x) + (0.3 / far).asin()).filter(|a| *a < right)
        };
        let places = || all.iter().flat_map(|(_, p)| p);
        let least = |f: &dyn Fn(&DVec3) -> Option<f64>| places().filter_map(f).fold(f64::INFINITY, f64::min);
        let approach = least(&|p| side(p.x - front.x, p.z));
        let departure = least(&|p| side(rear.x - p.x, p.z));
        let breakover = least(&|p| Some(side(front.x - p.x, p.z)? + side(p.x - rear.x, p.z)?));
        let check = |found: &Option<Governed>, dense: f64, none: f64, word: &str| {
            if dense < 0.0 {
                prop_assert!(found.as_ref().is_some_and(|g| g.angle < 0.0), "{word}");
                return Ok(());
            }
            let least = found.as_ref().map_or(none, |g| g.angle);
            // Bends are chords 0.02 mm within themselves; near a tyre's circle that is more of an angle.
            prop_assert!(least < dense.min(none) + 2e-3, "{word}: {least} is more than {dense}");
            prop_assert!(least > dense.min(none) - 0.06, "{word}: {least} is less than {dense}");
            Ok(())
        };
        check(&s.approach, approach, right, "approach")?;
        check(&s.departure, departure, right, "departure")?;
        check(&s.breakover, breakover, 2.0 * right, "breakover")?;
    }

    #[test]
    fn room_of_wheels(tubes in tubes()) {
        let Some(shape) = frame(&tubes, [0.0; 2], "") else { return Ok(()) };
        let a = stance::stand(&shape);
        let all = surfaces(&shape);
        for (k, (room, w)) in a.rooms.iter().zip(&shape.design.wheels).enumerate() {
            let hub = a.stances[0].wheels[k].hub;
            // At each steer the sweep is an upright stadium: its distance from a place is closed.
            let mut dense = f64::INFINITY;
            let n = if w.steer > 0.0 { 60 } else { 0 };
            for k in 0..=n {
                let steer = if n > 0 { w.steer * (2.0 * f64::from(k) / f64::from(n) - 1.0) } else { 0.0 };
                let (sin, cos) = steer.sin_cos();
                for p in all.iter().flat_map(|(_, p)| p.iter().step_by(3)) {
                    let d = *p - hub;
                    let across = (d.y * cos - d.x * sin).abs() - 0.5 * w.width;
                    let up = d.z - d.z.clamp(-w.droop, w.bump);
                    let out = (d.x * cos + d.y * sin).hypot(up) - w.radius;
                    dense = dense.min(if across > 0.0 && out > 0.0 { across.hypot(out) } else { across.max(out) });
                }
            }
            if dense > 0.0 {
                // A box's free ends are rounded as its corners are (6 mm), and so lie within themselves by up to 0.73 of that.
                let within = if tubes.iter().any(|t| t.1) { 0.0044 } else { 0.0 };
                prop_assert!(room.distance < dense + within + 2e-4, "{room:?}: more than {dense}");
                // Free ends count as rounded, by up to a radius of 10 mm; points and steers stray by the rest.
                prop_assert!(room.distance > dense - 0.018, "{room:?}: less than {dense}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2, ..ProptestConfig::default() })]

    #[test]
    fn least_clearance_over_a_hump(tubes in tubes()) {
        let hump = "[obstacle.it]\nhump = { length = 1800, height = 90 }\n";
        let Some(shape) = frame(&tubes, [0.0; 2], hump) else { return Ok(()) };
        let a = stance::stand(&shape);
        let found = a.stances[0].crossings[0].least.as_ref().unwrap().clearance;
        let road = |x: f64| {
            let (l, h): (f64, f64) = (1.8, 0.09);
            let r = (l * l / 4.0 + h * h) / (2.0 * h);
            if (0.0..=l).contains(&x) { h - r + (r * r - (x - l / 2.0).powi(2)).sqrt() } else { 0.0 }
        };
        if found > 0.0 {
            // What stands low alone can come nearest: 200 mm over the lowest is more than hump and pitch make up.
            let all: Vec<DVec3> = surfaces(&shape).into_iter().flat_map(|(_, p)| p).collect();
            let low = all.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
            let outline: Vec<DVec2> = all.iter().filter(|p| p.z < low + 0.3).map(|p| DVec2::new(p.x, p.z)).step_by(7).collect();
            let dense = brute(&outline, &road, 0.0, 1.8, 0.04);
            prop_assert!(found < dense + 3e-4, "{found} is more than {dense}");
            prop_assert!(found > dense - 1e-2, "{found} is far less than {dense}");
        }
    }
}
