//! Driving over things, against hand-worked poses and a dense comparison of points.

mod common;

use common::{WHEELS, brute, cross, near, only, points, stand, words};
use shape::Level;
use stance::Crossing;

fn drive(tubes: &str, obstacle: &str) -> Crossing {
    let s = only(&format!("{WHEELS}{tubes}[obstacle.it]\n{obstacle}\n"));
    s.crossings[0].clone()
}

#[test]
fn on_a_low_kerb_the_middle_comes_lowest_with_one_axle_up() {
    // 100 up: a cross tube in the middle, 150 under it. With the front up and the rear down it stands 150 + 50 over the
    // low road, 150 - 50 + 100·... over the high one: the kerb's edge passes it at least when only one axle is up.
    let c = drive(&cross("belly", 0.0, 150.0), "kerb = 100");
    assert!(c.over);
    let m = c.least.unwrap();
    // Pitch asin(100/2000); the tube's middle 160 over the ground at mid-wheelbase: over the mean of both levels by
    // 300 - 140 cos. The edge is nearest when the tube is over it, or while it is over the high road.
    let pitch = (0.05f64).asin();
    let centre_high = 0.05 + 0.3 - 0.14 * pitch.cos();
    let over_edge = centre_high - 0.1 - 0.01;
    near(m.clearance, over_edge, 1.1e-4);
    assert_eq!(m.name, "belly");
    near(m.road.y, 0.1, 1e-9);
}

#[test]
fn a_face_as_high_as_the_radius_bars_the_way() {
    for (h, barred) in [(299, false), (301, true)] {
        let c = drive(&cross("belly", 0.0, 600.0), &format!("kerb = {h}"));
        assert_eq!(c.barred.is_some(), barred, "{h}");
    }
    let a = stand(&format!("{WHEELS}{}[obstacle.step]\nkerb = 400\n", cross("belly", 0.0, 600.0)));
    assert!(words(&a, Level::Look)[0].contains("do not roll over step"));
    // Down from a ledge as well.
    let c = drive(&cross("belly", 0.0, 600.0), "profile = [[0, 0], [2000, 500], [2001, 0]]");
    assert!(c.barred.is_some());
}

#[test]
fn a_long_ramp_is_the_breakover_angle() {
    // A crest is cleared if the ramp is less than the breakover angle, 49 CFR 523.2: the tyres roll over the same crest.
    let body = cross("belly", 50.0, 190.0);
    let s = only(&format!("{WHEELS}{body}"));
    let angle = s.breakover.unwrap().angle.to_degrees();
    for (share, over) in [(0.99, true), (1.01, false)] {
        let c = drive(&body, &format!("ramp = {{ height = 2500, angle = {} }}", angle * share));
        assert_eq!(c.over, over, "{share}: {:?}", c.least);
    }
    // And the foot of a ramp is the approach angle.
    let body = cross("nose", 1500.0, 150.0);
    let angle = only(&format!("{WHEELS}{body}")).approach.unwrap().angle.to_degrees();
    for (share, over) in [(0.99, true), (1.01, false)] {
        let c = drive(&body, &format!("ramp = {{ height = 1500, angle = {} }}", angle * share));
        assert_eq!(c.over, over, "{share}: {:?}", c.least);
        if !over {
            let first = c.first_touch.unwrap();
            assert_eq!(first.name, "nose");
        }
    }
}

/// The bound holds: no pose of a dense comparison comes nearer, and one comes as near but for its own coarseness.
#[test]
fn the_least_clearance_is_that_of_a_dense_comparison() {
    let tubes = format!(
        "{}{}{}",
        cross("nose", 1350.0, 290.0),
        cross("belly", 100.0, 260.0),
        "[point]\na = [500, 250, 330]\nb = [-900, 200, 300]\n[tube.rail]\nsection = \"t\"\npath = [\"a\", \"b\"]\nmirror = true\n"
    );
    let s = common::shape(&tubes);
    let hump = |x: f64| {
        let (l, h): (f64, f64) = (1.8, 0.12);
        let r = (l * l / 4.0 + h * h) / (2.0 * h);
        if (0.0..=l).contains(&x) { h - r + (r * r - (x - l / 2.0).powi(2)).sqrt() } else { 0.0 }
    };
    let bumps = |x: f64| {
        let p = [[0.0, 0.0], [0.3, 0.08], [0.9, 0.0], [1.4, 0.15], [1.5, 0.15], [2.0, 0.05]];
        if x <= 0.0 {
            return 0.0;
        }
        p.windows(2)
            .find(|w| x <= w[1][0])
            .map_or(0.05, |w| w[0][1] + (w[1][1] - w[0][1]) * (x - w[0][0]) / (w[1][0] - w[0][0]))
    };
    let kerb = |x: f64| if x < 0.0 { 0.0 } else { 0.13 };
    for (obstacle, road, to) in [
        ("hump = { length = 1800, height = 120 }", &hump as &dyn Fn(f64) -> f64, 1.8),
        ("profile = [[0, 0], [300, 80], [900, 0], [1400, 150], [1500, 150], [2000, 50]]", &bumps, 2.0),
        ("kerb = 130", &kerb, 0.0),
    ] {
        let c = drive(&tubes, obstacle);
        let m = c.least.expect("it was measured");
        let dense = brute(&points(&s), road, 0.0, to, 0.04);
        assert!(m.clearance < dense + 2e-4, "{obstacle}: {} is more than {dense}", m.clearance);
        assert!(m.clearance > dense - 6e-3, "{obstacle}: {} is far less than {dense}", m.clearance);
    }
}

#[test]
fn scraping_says_where_first_and_by_how_much() {
    // A hump 250 high under a belly 150 over the ground: at mid-wheelbase over its top nearly 100 short.
    let c = drive(&cross("belly", 0.0, 150.0), "hump = { length = 1400, height = 250 }");
    assert!(!c.over);
    let m = c.least.unwrap();
    near(m.clearance, -0.1, 2e-3);
    let first = c.first_touch.unwrap();
    assert!(first.front_axle < m.front_axle);
    assert!(first.clearance <= 0.0 && first.clearance > -0.01, "{first:?}");
}

#[test]
fn nothing_changes_on_a_road_that_hardly_rises() {
    let c = drive(&cross("belly", 0.0, 150.0), "hump = { length = 3000, height = 1 }");
    let m = c.least.unwrap();
    assert!(m.clearance < 0.15 + 1e-9 && m.clearance > 0.148, "{m:?}");
}
