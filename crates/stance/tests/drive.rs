//! Driving over things, against hand-worked poses and a dense comparison of points.

mod common;

use common::{WHEELS, cross, near, only, stand, words};
use geometry::DVec2;
use shape::{Level, Shape};
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

/// The road as points, a tenth of a millimetre or so apart, and the outline of every tube as points.
fn brute(shape: &Shape, road: &dyn Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let r = 0.3;
    // The hub's path on a grid, by the definition.
    let step = 0.002;
    let n = ((to - from + 8.0) / step) as usize;
    let x0 = from - 4.0;
    let hub: Vec<f64> = (0..=n)
        .map(|i| {
            let x = x0 + i as f64 * step;
            (-300..=300)
                .map(|k| {
                    let d = r * k as f64 / 300.0;
                    road(x + d) + (r * r - d * d).sqrt()
                })
                .fold(f64::NEG_INFINITY, f64::max)
        })
        .collect();
    let at = |x: f64| {
        let f = (x - x0) / step;
        let i = (f as usize).min(n - 1);
        hub[i] + (hub[i + 1] - hub[i]) * (f - i as f64)
    };
    let mut outline = Vec::new();
    for t in &shape.tubes {
        for i in 0..=24 {
            let p = t.chain.point(t.chain.length() * i as f64 / 24.0);
            for k in 0..60 {
                let q = t.frames[0]
                    .at(p)
                    .place(t.outline.point(t.outline.station(t.outline.perimeter() * k as f64 / 60.0)));
                outline.push(DVec2::new(q.x, q.z));
            }
        }
    }
    let (lo, hi) = (from - 0.5, to + 0.5);
    let points: Vec<DVec2> = {
        let m = ((hi - lo) / 0.0005) as usize;
        let mut v: Vec<DVec2> =
            (0..=m).map(|i| lo + (hi - lo) * i as f64 / m as f64).map(|x| DVec2::new(x, road(x))).collect();
        let faces: Vec<DVec2> = v
            .windows(2)
            .filter(|w| (w[1].y - w[0].y).abs() > 0.001)
            .flat_map(|w| (0..=100).map(|k| w[0].lerp(w[1], k as f64 / 100.0)).collect::<Vec<_>>())
            .collect();
        v.extend(faces);
        v
    };
    let mut least = f64::INFINITY;
    let mut s = from - 1.5;
    while s < to + 3.5 {
        let f = DVec2::new(s, at(s));
        let (mut near, mut far) = (s - 0.5, s - 2.0 - 1e-9);
        for _ in 0..50 {
            let mid = 0.5 * (near + far);
            if (f - DVec2::new(mid, at(mid))).length() < 2.0 { near = mid } else { far = mid }
        }
        let e = (f - DVec2::new(near, at(near))).normalize();
        let placed = |q: &DVec2| f + e.rotate(*q - DVec2::new(1.0, 0.3));
        for q in outline.iter().map(placed) {
            // Only road that could be nearer than the least so far.
            let reach = least.min(0.4);
            if q.y - road(q.x) > 0.6 {
                continue;
            }
            let a = points.partition_point(|p| p.x < q.x - reach);
            for p in points[a..].iter().take_while(|p| p.x <= q.x + reach) {
                let d = p.distance(q);
                if d < least {
                    least = d;
                }
            }
        }
        s += 0.04;
    }
    least
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
        let dense = brute(&s, road, 0.0, to);
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
