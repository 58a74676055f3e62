//! Clipping, insets, and the largest circle and ellipse: closed forms, and a dense search by other means.

use geometry::polygon::signed_area;
use geometry::{DVec2, circle, clip, ellipse, inset};
use std::f64::consts::PI;

fn poly(p: &[[f64; 2]]) -> Vec<DVec2> {
    p.iter().map(|c| DVec2::from(*c)).collect()
}

fn turned(p: &[DVec2], angle: f64, shift: DVec2) -> Vec<DVec2> {
    p.iter().map(|c| DVec2::from_angle(angle).rotate(*c) + shift).collect()
}

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

/// A random number in 0..1 from a counter (SplitMix64, Steele and others, 2014).
fn random(state: &mut u64) -> f64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

/// A star-shaped polygon, mostly hollow somewhere.
fn star(state: &mut u64, n: usize) -> Vec<DVec2> {
    (0..n)
        .map(|i| {
            let a = (i as f64 + 0.7 * random(state)) / n as f64 * 2.0 * PI;
            DVec2::from_angle(a) * (0.3 + 0.7 * random(state))
        })
        .collect()
}

const COMB: [[f64; 2]; 8] =
    [[0.0, 0.0], [5.0, 0.0], [5.0, 4.0], [4.0, 4.0], [4.0, 1.0], [1.0, 1.0], [1.0, 4.0], [0.0, 4.0]];

#[test]
fn clipping_keeps_what_the_closed_form_says() {
    let square = poly(&[[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]);
    let cut = clip::half_plane(&square, DVec2::new(1.0, 1.0), 1.0);
    assert_eq!(cut.len(), 1);
    near(signed_area(&cut[0]), 3.5, 1e-12);
    // A comb cut through its teeth falls in two; from the other side it stays whole.
    let comb = poly(&COMB);
    let teeth = clip::half_plane(&comb, DVec2::Y, 2.0);
    assert_eq!(teeth.len(), 2);
    teeth.iter().for_each(|t| near(signed_area(t), 2.0, 1e-12));
    let back = clip::half_plane(&comb, DVec2::NEG_Y, -2.0);
    assert_eq!(back.len(), 1);
    near(signed_area(&back[0]), 11.0 - 4.0, 1e-12);
    // Exactly along the edge between the teeth, and beyond everything.
    let level = clip::half_plane(&comb, DVec2::Y, 1.0);
    near(level.iter().map(|t| signed_area(t)).sum(), 6.0, 1e-12);
    assert_eq!(clip::half_plane(&comb, DVec2::Y, 9.0), Vec::<Vec<DVec2>>::new());
    assert_eq!(clip::half_plane(&comb, DVec2::Y, -9.0), vec![comb]);
}

#[test]
fn the_two_sides_of_a_cut_add_up() {
    let mut s = 1;
    for _ in 0..2000 {
        let n = 5 + (random(&mut s) * 9.0) as usize;
        let p = star(&mut s, n);
        let d = DVec2::from_angle(random(&mut s) * 2.0 * PI);
        let at = random(&mut s) - 0.5;
        let sum = |c: &[Vec<DVec2>]| c.iter().map(|q| signed_area(q)).sum::<f64>();
        let (a, b) = (clip::half_plane(&p, d, at), clip::half_plane(&p, -d, -at));
        near(sum(&a) + sum(&b), signed_area(&p), 1e-12);
        assert!(a.iter().all(|q| signed_area(q) > 0.0 && q.iter().all(|c| d.dot(*c) >= at - 1e-12)));
    }
}

#[test]
fn insets_have_their_closed_forms() {
    let rect = poly(&[[0.0, 0.0], [3.0, 0.0], [3.0, 2.0], [0.0, 2.0]]);
    let q = inset::inset(&rect, 0.25);
    assert_eq!(q.len(), 1);
    near(signed_area(&q[0]), 2.5 * 1.5, 1e-12);
    assert!(inset::inset(&rect, 1.0 + 1e-9).is_empty());
    assert_eq!(inset::inset(&rect, 0.0), vec![rect.clone()]);
    // A triangle shrinks towards its incentre: 3, 4, 5 has an inradius of 1.
    let tri = poly(&[[0.0, 0.0], [4.0, 0.0], [0.0, 3.0]]);
    near(signed_area(&inset::inset(&tri, 0.4)[0]), 6.0 * 0.36, 1e-12);
    assert!(inset::inset(&tri, 1.01).is_empty());
    // A corner cut off by less than the inset vanishes: then it is as if it had not been there.
    let chamfered = poly(&[[0.0, 0.0], [3.0, 0.0], [3.0, 1.9], [2.9, 2.0], [0.0, 2.0]]);
    near(signed_area(&inset::inset(&chamfered, 0.5)[0]), 2.0, 1e-12);
    // An L keeps its hollow corner, mitred: 2 x 2 less 1 x 1, moved by 0.1.
    let ell = poly(&[[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, 2.0], [0.0, 2.0]]);
    near(signed_area(&inset::inset(&ell, 0.1)[0]), 1.8 * 0.8 + 0.8 * 1.0, 1e-12);
    // A waist narrower than twice the inset parts the outline in two.
    let waist = poly(&[[0.0, 0.0], [2.0, 0.9], [4.0, 0.0], [4.0, 2.0], [2.0, 1.1], [0.0, 2.0]]);
    let parts = inset::inset(&waist, 0.2);
    assert_eq!(parts.len(), 2, "{parts:?}");
    near(signed_area(&parts[0]), signed_area(&parts[1]), 1e-9);
    // Clockwise in, anticlockwise out.
    let mut back = rect;
    back.reverse();
    near(signed_area(&inset::inset(&back, 0.25)[0]), 3.75, 1e-12);
}

#[test]
fn insets_keep_their_distance_from_every_edge() {
    let mut s = 7;
    for _ in 0..1000 {
        let n = 5 + (random(&mut s) * 9.0) as usize;
        let p = star(&mut s, n);
        let d = 0.15 * random(&mut s);
        let pieces = inset::inset(&p, d);
        for c in pieces.iter().flatten() {
            assert!(circle::depth(&p, *c) >= d - 1e-7, "{c} lies {} deep, not {d}", circle::depth(&p, *c));
        }
        // Where a circle of three times the inset fits, something is left, mitres or not.
        let room = circle::largest_in(&p, circle::is_convex(&p), 1e-3, 0.0, &mut 5000).map_or(0.0, |l| l.circle.radius);
        if room > 3.0 * d {
            assert!(!pieces.is_empty(), "{p:?} {d}");
        }
    }
}

#[test]
fn largest_circles_have_their_closed_forms() {
    let one = |p: &[DVec2]| circle::largest_in(p, circle::is_convex(p), 1e-6, 0.0, &mut 100_000).unwrap();
    near(one(&poly(&[[0.0, 0.0], [4.0, 0.0], [0.0, 3.0]])).circle.radius, 1.0, 1e-12);
    near(one(&poly(&[[0.0, 0.0], [7.0, 0.0], [7.0, 3.0], [0.0, 3.0]])).circle.radius, 1.5, 1e-12);
    let many: Vec<DVec2> = (0..64).map(|i| DVec2::from_angle(i as f64 * PI / 32.0)).collect();
    near(one(&many).circle.radius, (PI / 64.0).cos(), 1e-12);
    // An L of two arms one wide: the circle in its corner touches both outer edges and the hollow corner,
    // r √2 + r = √2: r = √2 / (1 + √2) = 2 - √2.
    let ell = poly(&[[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, 2.0], [0.0, 2.0]]);
    let l = one(&ell);
    near(l.circle.radius, 2.0 - 2f64.sqrt(), 1e-9);
    assert!(l.most < l.circle.radius * (1.0 + 2e-6));
}

#[test]
fn largest_ellipses_have_their_closed_forms() {
    // In a rectangle: as wide as the narrower of the two fits.
    let rect = poly(&[[0.0, 0.0], [0.6, 0.0], [0.6, 1.5], [0.0, 1.5]]);
    for angle in [0.0, 0.3, 1.2, 2.9] {
        let f = ellipse::largest_in(&turned(&rect, angle, DVec2::new(3.0, -2.0)), [0.165, 0.29]).unwrap();
        near(f.scale, 0.3 / 0.165, 1e-6);
        assert!(f.most <= f.scale * 1.0011);
    }
    // In a square an ellipse of any ratio fits best askew: touching all four sides at 45 degrees, where its
    // support is √((a² + b²) / 2).
    let square = poly(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]);
    let f = ellipse::largest_in(&square, [0.2, 0.4]).unwrap();
    near(f.scale, 0.5 / (0.1f64).sqrt(), 1e-6);
    near((f.turn - PI / 4.0).sin() * (f.turn - PI / 4.0).cos(), 0.0, 1e-3);
    // Of one ratio an ellipse is a circle: the inscribed one of a polygon with many corners.
    let many: Vec<DVec2> = (0..48).map(|i| DVec2::from_angle(i as f64 * PI / 24.0)).collect();
    near(ellipse::largest_in(&many, [0.5, 0.5]).unwrap().scale, 2.0 * (PI / 48.0).cos(), 1e-9);
}

/// Steiner's inellipse is the largest of all ellipses in a triangle: area π/(3√3) of the triangle's. At its own ratio the
/// search finds it; at other ratios nothing is larger in area.
#[test]
fn a_triangle_holds_steiners_inellipse() {
    let tri = poly(&[[0.0, 0.0], [1.3, 0.2], [0.4, 1.1]]);
    let (u, v) = (tri[1] - tri[0], tri[2] - tri[0]);
    let area = u.perp_dot(v) / 2.0;
    let best = PI / (3.0 * 3f64.sqrt()) * area;
    // Sides a, b, c and Z = √(a⁴ + b⁴ + c⁴ - a²b² - b²c² - c²a²): half axes √(a² + b² + c² ± 2Z) / 6.
    let [a2, b2, c2] = [u, v, v - u].map(|d| d.length_squared());
    let z = (a2 * a2 + b2 * b2 + c2 * c2 - a2 * b2 - b2 * c2 - c2 * a2).sqrt();
    let (a, b) = ((a2 + b2 + c2 + 2.0 * z).sqrt() / 6.0, (a2 + b2 + c2 - 2.0 * z).sqrt() / 6.0);
    near(PI * a * b, best, 1e-12);
    let f = ellipse::largest_in(&tri, [a, b]).unwrap();
    near(f.scale, 1.0, 1e-6);
    near(f.centre.distance(tri.iter().sum::<DVec2>() / 3.0), 0.0, 1e-3);
    for ratio in [1.0, 1.2, 1.5, 2.0, 3.0] {
        let f = ellipse::largest_in(&tri, [0.1 * ratio, 0.1]).unwrap();
        assert!(PI * 0.01 * ratio * f.scale * f.scale <= best * (1.0 + 1e-9), "{ratio}");
    }
}

/// By how much an ellipse may grow at a place and turn before it meets an edge: the least distance to the edges in the
/// plane where it is a circle, worked out edge by edge and independently of the search.
fn grows_to(p: &[DVec2], half: [f64; 2], at: DVec2, turn: f64) -> f64 {
    let see = |c: DVec2| DVec2::from_angle(-turn).rotate(c - at) / DVec2::from(half);
    let n = p.len();
    let mut least = f64::INFINITY;
    let mut winding = 0.0;
    for i in 0..n {
        let (a, b) = (see(p[i]), see(p[(i + 1) % n]));
        winding += a.perp_dot(b).atan2(a.dot(b));
        let t = (-a.dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
        least = least.min((a + (b - a) * t).length());
    }
    if winding.abs() > PI { least } else { 0.0 }
}

#[test]
fn no_sampled_ellipse_is_larger_and_the_one_found_fits() {
    let half = [0.165, 0.29];
    let mut s = 3;
    let mut hollow = 0;
    for _ in 0..40 {
        let n = 4 + (random(&mut s) * 7.0) as usize;
        let whole = star(&mut s, n);
        let dir = DVec2::from_angle(random(&mut s) * 2.0 * PI);
        for p in clip::half_plane(&whole, dir, -0.3 * random(&mut s)) {
            hollow += usize::from(!circle::is_convex(&p));
            let f = ellipse::largest_in(&p, half).unwrap();
            near(grows_to(&p, half, f.centre, f.turn), f.scale, 1e-9);
            assert!(f.scale <= f.most && f.most <= f.scale * 1.0021, "{f:?}");
            let mut best = 0.0f64;
            for i in 0..40 {
                for j in 0..40 {
                    let at = DVec2::new(i as f64 + 0.5, j as f64 + 0.5) / 20.0 - 1.0;
                    for k in 0..36 {
                        best = best.max(grows_to(&p, half, at, (k as f64) * PI / 36.0));
                    }
                }
            }
            assert!(best <= f.most, "{p:?}: sampling found {best}, the search {f:?}");
            // A grid of 1/20 and five degrees comes within some hundredths of it.
            assert!(best > f.scale - 0.25, "{best} {f:?}");
        }
    }
    assert!(hollow > 15, "{hollow}");
}

#[test]
fn what_has_no_room_holds_nothing() {
    let flat = poly(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]]);
    assert_eq!(ellipse::largest_in(&flat, [0.1, 0.2]), None);
    assert_eq!(ellipse::largest_in(&[], [0.1, 0.2]), None);
    assert_eq!(ellipse::largest_in(&poly(&COMB), [0.0, 0.2]), None);
    assert_eq!(ellipse::largest_in(&poly(&[[0.0, f64::NAN], [1.0, 0.0], [0.0, 1.0]]), [0.1, 0.2]), None);
    assert!(inset::inset(&flat, 0.1).is_empty());
    assert!(inset::inset(&[], 0.1).is_empty());
    assert!(clip::half_plane(&[], DVec2::X, 0.0).is_empty());
    // A sliver a thousand times longer than wide still has an answer, and a bound that holds: the search is content with
    // less than a thousandth there. Half its width over the narrower half axis is the truth, near enough.
    let sliver = poly(&[[0.0, 0.0], [1.0, 0.0], [1.0, 0.001], [0.5, 0.0009], [0.0, 0.001]]);
    let f = ellipse::largest_in(&sliver, [0.1, 0.2]).unwrap();
    assert!(f.scale > 0.0 && f.scale < 0.005 && f.most > 0.0049, "{f:?}");
}
