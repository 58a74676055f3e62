//! End cuts and bends against closed forms, published constructions and common practice.

mod common;

use std::f64::consts::{FRAC_PI_2, PI};

use common::{cut, head, near, piece};
use cutting::{SetUp, WorkFrom};

/// A branch on a host along x: the angle between them in degrees, and the offset of their axes in mm.
fn branch(host: f64, od: f64, angle: f64, offset: f64) -> String {
    let (s, c) = angle.to_radians().sin_cos();
    format!(
        r#"{}
[point]
a = [-500, 0, 0]
c = [500, 0, 0]
far = [{}, {offset}, {}]
foot = [0, {offset}, 0]
[tube.host]
section = "h"
path = ["a", "c"]
[tube.branch]
section = "b"
path = ["far", "foot"]
end = {{ to = ["host"] }}
"#,
        head(host, od, 1.0),
        -1000.0 * c,
        1000.0 * s
    )
}

/// Ordinates at twelve divisions as developed graphically in BC Open Text "Pattern Development", chapter 16, and
/// "Sheet and Plate Metal Work"; the values by z = (√(R² - (r sin φ + e)²) + r cos φ cos θ)/sin θ, mm over the least.
/// φ runs from the heel; fibres are counted from the scribe line, on the other side of the tube.
#[test]
fn branch_ordinates_at_twelve_divisions() {
    let cases: [(f64, f64, f64, f64, [f64; 12]); 4] = [
        (38.1, 38.1, 90.0, 0.0, [19.050, 16.498, 9.525, 0.0, 9.525, 16.498, 19.050, 16.498, 9.525, 0.0, 9.525, 16.498]),
        (38.1, 25.4, 90.0, 0.0, [4.851, 3.761, 1.355, 0.0, 1.355, 3.761, 4.851, 3.761, 1.355, 0.0, 1.355, 3.761]),
        (38.1, 38.1, 45.0, 0.0, [45.991, 39.829, 22.995, 0.0, 3.945, 6.834, 7.891, 6.834, 3.945, 0.0, 22.995, 39.829]),
        (38.1, 25.4, 60.0, 3.0, [17.802, 14.262, 7.332, 1.205, 0.0, 1.562, 3.137, 4.051, 5.045, 7.679, 12.377, 16.751]),
    ];
    for (host, od, angle, offset, table) in cases {
        let (_, c) = cut(&branch(host, od, angle, offset));
        let fibres = &piece(&c, "branch").ends[1].profile.fibres;
        let around = PI * od / 1e3;
        let depth: Vec<f64> = (0..12)
            .map(|k| {
                let at = around * k as f64 / 12.0;
                let f = fibres.iter().min_by(|a, b| (a.round - at).abs().total_cmp(&(b.round - at).abs())).unwrap();
                assert!((f.round - at).abs() < 1e-12, "a fibre stands at every twelfth");
                -f.outer * 1e3
            })
            .collect();
        let least = depth.iter().copied().fold(f64::INFINITY, f64::min);
        for (k, want) in table.iter().enumerate() {
            // The scribe line lies on the toe, half a turn from the heel.
            near(depth[(6 + k) % 12] - least, *want, 0.0006);
        }
    }
}

#[test]
fn contact_is_with_the_bore_where_that_is_deeper_and_the_template_takes_the_deepest() {
    // Square to its host, the branch's bore edge stands higher on the host than its outside edge away from the sides:
    // z = √(R² - r² sin² φ) grows as r falls. The radial cut takes the least reach of the two.
    let (_, c) = cut(&branch(38.1, 38.1, 90.0, 0.0));
    let p = &piece(&c, "branch").ends[1].profile;
    let (big, ro, ri) = (0.01905f64, 0.01905f64, 0.01805f64);
    for f in &p.fibres {
        let phi = f.round / ro;
        let z = |r: f64| (big * big - (r * phi.sin()).powi(2)).max(0.0).sqrt();
        // A square root near zero turns the rounding of its argument into its root.
        near(f.outer, -z(ro), 1e-9);
        near(f.inner, -z(ri), 1e-9);
        near(f.radial, f.inner.min(f.outer), 1e-12);
    }
}

/// The same formula with the bore's radius gives the inner edge, which is the line of contact wherever it reaches less:
/// every fibre of the four cases of the table, not just twelve.
#[test]
fn both_edges_of_the_wall_follow_the_formula() {
    for (host, od, angle, e) in
        [(38.1, 38.1, 90.0, 0.0), (38.1, 25.4, 90.0, 0.0), (38.1, 38.1, 45.0, 0.0), (38.1, 25.4, 60.0, 3.0)]
    {
        let (_, c) = cut(&branch(host, od, angle, e));
        let p = &piece(&c, "branch").ends[1].profile;
        let (sin, cos) = f64::to_radians(angle).sin_cos();
        let big = host / 2e3;
        let z = |r: f64, phi: f64| {
            ((big * big - (r * phi.sin() + e / 1e3).powi(2)).max(0.0).sqrt() + r * phi.cos() * cos) / sin
        };
        for f in &p.fibres {
            // The scribe line is on the toe, half a turn from the heel, from which the formula counts.
            let phi = f.round / (od / 2e3) + PI;
            near(f.outer, -z(od / 2e3, phi), 1e-9);
            near(f.inner, -z(od / 2e3 - 1e-3, phi), 1e-9);
        }
    }
}

#[test]
fn equal_tubes_at_45_degrees_reach_by_half_angles() {
    let (_, c) = cut(&branch(38.1, 38.1, 45.0, 0.0));
    let p = piece(&c, "branch");
    let depth: Vec<f64> = p.ends[1].profile.fibres.iter().map(|f| -f.outer).collect();
    let r: f64 = 0.01905;
    near(depth.iter().copied().fold(0.0, f64::max), r / (PI / 8.0).tan(), 1e-9);
    near(depth[0], r * (PI / 8.0).tan(), 1e-9);
    let SetUp::HoleSaw { angle, turn, depth, diameter, .. } = p.ends[1].setups[0] else { panic!() };
    near(angle, PI / 4.0, 1e-12);
    near(turn, PI, 1e-9);
    near(diameter, 0.0381, 1e-12);
    // Along the host: the tube's own width over sin 45°.
    near(depth, 0.0381 / (PI / 4.0).sin(), 1e-6);
}

/// Common practice, no source: a square corner of two like tubes is two 45 degree cuts.
#[test]
fn a_square_corner_is_two_45_degree_cuts() {
    for section in ["b", "r"] {
        let text = format!(
            "{}\n[point]\na = [0, 0, 0]\nb = [600, 0, 0]\nc = [600, 400, 0]\n[tube.one]\nsection = \"{section}\"\npath = [\"a\", \"b\"]\n[tube.two]\nsection = \"{section}\"\npath = [\"b\", \"c\"]\n",
            head(38.1, 38.1, 2.0)
        );
        let (_, c) = cut(&text);
        for (name, end) in [("one", 1), ("two", 0)] {
            let e = &piece(&c, name).ends[end];
            assert_eq!(e.kind, "mitre");
            let SetUp::Saw { angle, .. } = e.setups[0] else { panic!() };
            near(angle, PI / 4.0, 1e-12);
        }
        // Over long points: to the outside of the other tube.
        let half = if section == "b" { 0.01905 } else { 0.025 };
        near(piece(&c, "one").lengths.over_long, 0.6 + half, 1e-9);
        near(piece(&c, "one").lengths.over_short, 0.6 - half, 1e-9);
    }
}

/// Common practice, no source: where square reads 90 on the notcher's scale, a cross tube that meets its rails 10
/// degrees off square is notched at 80.
#[test]
fn the_scale_reads_as_the_shop_s_notcher_does() {
    for (reads, want) in [(0, 10.0f64), (90, 80.0)] {
        let text = format!("[notcher]\nsquare_reads = {reads}\n{}", branch(38.1, 38.1, 80.0, 0.0));
        let (_, c) = cut(&text);
        let SetUp::HoleSaw { angle, scale, .. } = piece(&c, "branch").ends[1].setups[0] else { panic!() };
        near(angle.to_degrees(), 10.0, 1e-9);
        near(scale.to_degrees(), want, 1e-9);
    }
}

#[test]
fn a_box_host_is_met_on_its_face() {
    // Down onto the top of an 80 high rail at 60 degrees to it: one straight cut, 30 from square.
    let text = branch(50.0, 30.0, 60.0, 0.0).replace("section = \"h\"", "section = \"r\"");
    let (_, c) = cut(&text);
    let e = &piece(&c, "branch").ends[1];
    let SetUp::Saw { angle, turn, gap, .. } = e.setups[0] else { panic!("{:?}", e.setups) };
    near(angle, PI / 6.0, 1e-12);
    near(gap, 0.0, 1e-12);
    near(turn, PI, 1e-9);
    // The rail's top is 40 over its axis; the tube's 15 leans by tan 30.
    let (s, t) = ((PI / 3.0).sin(), (PI / 6.0).tan());
    near(e.profile.long, -0.04 / s + 0.015 * t, 1e-9);
    near(e.profile.short, -0.04 / s - 0.015 * t, 1e-9);
}

#[test]
fn a_root_gap_is_measured_square_to_the_surface() {
    for section in ["h", "r"] {
        let at = |gap: f64| {
            let text = branch(38.1, 25.4, 50.0, 0.0)
                .replace("gap = 0", &format!("gap = {gap}"))
                .replace("section = \"h\"", &format!("section = \"{section}\""));
            piece(&cut(&text).1, "branch").ends[1].profile.fibres[0].outer
        };
        // The fibre on the scribe line lies in the plane of the axes: it meets the surface at the tubes' own angle.
        near(at(0.0) - at(1.0), 0.001 / 50f64.to_radians().sin(), 1e-12);
    }
}

#[test]
fn handbook_bends() {
    // D, t, R, angle, arc, setback, strain, outer wall, inner wall: geometry, plane sections, volume kept.
    let table = [
        (25.4, 2.413, 76.2, 90.0, 119.695, 76.200, 0.1667, 2.068, 2.896),
        (38.1, 2.413, 114.3, 90.0, 179.542, 114.300, 0.1667, 2.068, 2.896),
        (45.0, 2.5, 135.0, 60.0, 141.372, 77.942, 0.1667, 2.143, 3.000),
        (48.3, 3.0, 150.0, 45.0, 117.810, 62.132, 0.1610, 2.584, 3.576),
    ];
    for (d, t, r, angle, arc, setback, strain, outer, inner) in table {
        let (s, c) = f64::to_radians(angle).sin_cos();
        let text = format!(
            "{}\n[point]\na = [0, 0, 0]\nb = [500, 0, 0]\nc = [{}, {}, 0]\n[tube.x]\nsection = \"b\"\npath = [\"a\", \"b\", \"c\"]\nbend_radius = {r}\n",
            head(38.1, d, t),
            500.0 + 600.0 * c,
            600.0 * s
        );
        let (_, cut) = cut(&text);
        let p = piece(&cut, "x");
        let plan = p.bends.as_ref().unwrap();
        let b = &plan.bends[0];
        near(b.angle, angle.to_radians(), 1e-12);
        near(b.arc * 1e3, arc, 0.0006);
        near(b.straight * 1e3, 500.0 - setback, 0.0006);
        near(plan.last_straight * 1e3, 600.0 - setback, 0.0006);
        near(b.strain, strain, 0.00006);
        near(b.walls[0] * 1e3, outer, 0.0006);
        near(b.walls[1] * 1e3, inner, 0.0006);
        near(b.mark, b.start, 1e-12);
    }
}

#[test]
fn a_tube_with_two_bends() {
    let flat = format!(
        "{}\n[point]\na = [0, 0, 0]\nb = [500, 0, 0]\nc = [500, 600, 0]\nd = [0, 600, 0]\n[tube.x]\nsection = \"b\"\npath = [\"a\", \"b\", \"c\", \"d\"]\nbend_radius = 114.3\n",
        head(38.1, 38.1, 2.413)
    );
    let (_, c) = cut(&flat);
    // 1600 - 4 x 114.3 + 2 x 179.542.
    near(piece(&c, "x").lengths.over_long * 1e3, 1501.88, 0.006);
    near(piece(&c, "x").bends.as_ref().unwrap().bends[1].rotation, 0.0, 1e-12);

    let skew = flat.replace("d = [0, 600, 0]", "d = [500, 600, 500]").replace("114.3", "100");
    let (_, c) = cut(&skew);
    let p = piece(&c, "x");
    let b = p.bends.as_ref().unwrap();
    near(p.lengths.over_long * 1e3, 1514.16, 0.006);
    near(b.bends[0].straight, 0.4, 1e-12);
    near(b.bends[1].straight, 0.4, 1e-12);
    near(b.last_straight, 0.4, 1e-12);
    // First bend turns left seen from above (its normal is +z). The second turns up; its normal, y × z = x. From z to x
    // about the feed, which runs along +y, is right-handed: +90.
    near(b.bends[1].rotation, FRAC_PI_2, 1e-12);
    // Mirrored, it is -90.
    let left =
        skew.replace("c = [500, 600, 0]", "c = [500, -600, 0]").replace("d = [500, 600, 500]", "d = [500, -600, 500]");
    near(piece(&cut(&left).1, "x").bends.as_ref().unwrap().bends[1].rotation, -FRAC_PI_2, 1e-12);
    // From the other end it is the same tube: the rotation keeps its sign.
    let back = skew.replace("[\"a\", \"b\", \"c\", \"d\"]", "[\"d\", \"c\", \"b\", \"a\"]");
    near(piece(&cut(&back).1, "x").bends.as_ref().unwrap().bends[1].rotation, FRAC_PI_2, 1e-12);
}

const DIE: &str = r#"
[die.d]
od = 38.1
radius = 114.3
grip = 200
between = 60
max_angle = 100
offset = 10
tests = [{ set = 30, got = 28 }, { set = 60, got = 57 }, { set = 90, got = 86 }]
"#;

fn bent(first: f64, angle: f64, last: f64) -> String {
    let (s, c) = angle.to_radians().sin_cos();
    format!(
        "{}{DIE}\n[point]\na = [0, 0, 0]\nb = [{first}, 0, 0]\nc = [{}, {}, 0]\n[tube.x]\nsection = \"b\"\npath = [\"a\", \"b\", \"c\"]\ndie = \"d\"\n",
        head(38.1, 38.1, 2.413),
        first + last * c,
        last * s
    )
}

#[test]
fn springback_is_interpolated_and_extrapolation_is_said() {
    let set = |angle: f64| {
        let (_, c) = cut(&bent(600.0, angle, 600.0));
        let s = piece(&c, "x").bends.as_ref().unwrap().bends[0].setting.unwrap();
        (s.set.to_degrees(), s.extrapolated, c.findings.iter().any(|f| f.what.contains("outside the test bends")))
    };
    let check = |angle: f64, want: f64, beyond: bool| {
        let (got, flagged, found) = set(angle);
        near(got, want, 1e-9);
        assert_eq!((flagged, found), (beyond, beyond), "{angle}");
    };
    check(57.0, 60.0, false);
    check(42.5, 45.0, false);
    check(71.5, 75.0, false);
    check(14.0, 15.0, true);
    check(95.0, 90.0 + 30.0 * 9.0 / 29.0, true);
}

#[test]
fn the_longer_straight_goes_into_the_clamp() {
    // Start short (200 - 114.3 tan 45°/… leaves under 200 of straight), end long: work from the end, no extra.
    let (_, c) = cut(&bent(260.0, 90.0, 600.0));
    let b = piece(&c, "x").bends.clone().unwrap();
    assert_eq!(b.from, WorkFrom::End);
    near(b.grip_extra, 0.0, 1e-12);
    near(b.bends[0].start, 0.6 - 0.1143, 1e-9);
    near(b.bends[0].mark, 0.6 - 0.1143 - 0.01, 1e-9);
    // Both short: extra at the better end, and the marks move with it.
    let (_, c) = cut(&bent(260.0, 90.0, 280.0));
    let p = piece(&c, "x");
    let b = p.bends.clone().unwrap();
    assert_eq!(b.from, WorkFrom::End);
    near(b.grip_extra, 0.2 - (0.28 - 0.1143), 1e-9);
    near(b.bends[0].start, 0.2, 1e-9);
    near(p.lengths.blank, p.lengths.over_long + b.grip_extra, 1e-12);
    assert!(c.findings.iter().any(|f| f.what.contains("too little straight for the clamp")));
}

#[test]
fn the_dies_largest_angle_is_the_angle_set() {
    let over = |text: &str| {
        let (_, c) = cut(text);
        let f = c.findings.iter().find(|f| f.what.contains("asks for more than die d can be set to"));
        f.map(|f| (f.level, f.measured))
    };
    assert!(over(&bent(600.0, 105.0, 600.0)).is_some());
    // The limit is of the angle set: 99 degrees would stay under it, were it not for the springback.
    let Some((shape::Level::Mend, Some(shape::Value::Angle(set)))) = over(&bent(600.0, 99.0, 600.0)) else {
        panic!("a bend over the limit was expected")
    };
    near(set.to_degrees(), 90.0 + 30.0 * 13.0 / 29.0, 1e-9);
    // 95 and 96 degrees need 99.31 and 100.34. Without test bends there is nothing to add.
    assert!(over(&bent(600.0, 95.0, 600.0)).is_none());
    assert!(over(&bent(600.0, 96.0, 600.0)).is_some());
    let untested = bent(600.0, 99.0, 600.0);
    let untested: Vec<&str> = untested.lines().filter(|l| !l.starts_with("tests")).collect();
    assert!(over(&untested.join("\n")).is_none());
}

/// The saw that is taken for a branch at 60 degrees on a tube of 38.1, from a list: diameter and depth.
fn taken(saws: &str) -> (f64, f64) {
    let text = branch(38.1, 38.1, 60.0, 0.0) + &format!("[notcher]\nsaws = [{saws}]\n");
    let (_, c) = cut(&text);
    let SetUp::HoleSaw { saw: Some(saw), depth, .. } = &piece(&c, "branch").ends[1].setups[0] else {
        panic!("a hole saw was expected")
    };
    // Over the slant: 38.1 / sin 60°.
    near(depth * 1e3, 43.994, 1e-3);
    (saw.od * 1e3, saw.depth * 1e3)
}

#[test]
fn the_saw_taken_fits_first_and_then_reaches_through() {
    let same = |saws: &str, od: f64, depth: f64| {
        let (a, b) = taken(saws);
        near(a, od, 1e-9);
        near(b, depth, 1e-9);
    };
    // The nearest is too shallow; another within the fit reaches through.
    same("{ od = 38.1, depth = 40 }, { od = 38.5, depth = 60 }", 38.5, 60.0);
    // Both reach through: the nearest.
    same("{ od = 38.5, depth = 60 }, { od = 38.1, depth = 45 }", 38.1, 45.0);
    // Two alike: the deeper, in either order; also where neither reaches through.
    same("{ od = 38.1, depth = 50 }, { od = 38.1, depth = 75 }", 38.1, 75.0);
    same("{ od = 38.1, depth = 75 }, { od = 38.1, depth = 50 }", 38.1, 75.0);
    same("{ od = 38.1, depth = 30 }, { od = 38.1, depth = 40 }", 38.1, 40.0);
    // Depth is no use in one that does not fit.
    same("{ od = 60, depth = 90 }, { od = 38.1, depth = 40 }", 38.1, 40.0);
    // None fits: the nearest, so that the finding says how far off the rack is.
    same("{ od = 60, depth = 90 }, { od = 51, depth = 20 }", 51.0, 20.0);
}

/// A box runs along the crown of a round tube: the end stands on both, and the saw shapes only what lies outside the
/// box. There the branch, of radius r at 60 degrees, meets the round tube at x = r cos φ / sin 60° - z cot 60° with
/// |r sin φ| > w, half the box's width; so the travel is 2√(r² - w²) / sin 60°. Where the wall's outside is on the round
/// tube its inside may stand on the box, higher and so farther back: that is not the saw's to reach.
#[test]
fn a_saw_s_travel_ends_where_either_edge_of_the_wall_leaves_it() {
    let text = format!(
        r#"{}
[point]
a = [-500, 0, 0]
c = [500, 0, 0]
a2 = [-600, 0, 0]
c2 = [600, 0, 0]
far = [-300, 0, 519.615242]
foot = [0, 0, 0]
[tube.host]
section = "h"
path = ["a", "c"]
[tube.box]
section = "r"
path = ["a2", "c2"]
[tube.branch]
section = "b"
path = ["far", "foot"]
end = {{ to = ["host", "box"] }}
"#,
        head(78.0, 70.0, 5.0),
    );
    let (_, c) = cut(&text);
    let setups = &piece(&c, "branch").ends[1].setups;
    let depth = setups.iter().find_map(|s| match s {
        SetUp::HoleSaw { depth, .. } => Some(*depth),
        _ => None,
    });
    let sin = 60.0f64.to_radians().sin();
    near(depth.expect("a hole saw") * 1e3, 2.0 * (35.0f64.powi(2) - 25.0f64.powi(2)).sqrt() / sin, 1e-2);
}

/// Common practice, no source: a tube to be trimmed in place is left about 6 in long.
#[test]
fn an_end_left_long_counts_in_the_blank_and_moves_no_cut() {
    let plain = branch(38.1, 38.1, 60.0, 0.0);
    let long = plain.replace("end = { to = [\"host\"] }", "end = { to = [\"host\"], long = \"6 in\" }");
    let (_, a) = cut(&plain);
    let (_, b) = cut(&long);
    let (a, b) = (piece(&a, "branch"), piece(&b, "branch"));
    near(b.lengths.blank - a.lengths.blank, 0.1524, 1e-12);
    near(b.lengths.over_long, a.lengths.over_long, 1e-15);
    assert_eq!(a.ends[1].profile, b.ends[1].profile);
}

/// Square to the outside of a bend a straight notch seats on the crown and leaves a gap fore and aft, where the bend,
/// of radius R + r outside, falls away from its tangent: by (R + r) - √((R + r)² - b²) along the branch, less by the
/// surface's slope square to it.
#[test]
fn a_straight_notch_on_a_bend_leaves_the_bends_sagitta() {
    let (ring, r, b) = (150.0f64, 20.0f64, 15.0f64);
    let foot = -ring + ring * 0.5f64.sqrt();
    let text = format!(
        r#"{}
[point]
a = [-600, 0, 0]
m = [0, 0, 0]
c = [0, -600, 0]
far = [{far:.9}, {far:.9}, 0]
foot = [{foot:.9}, {foot:.9}, 0]
[tube.host]
section = "h"
bend_radius = {ring}
path = ["a", "m", "c"]
[tube.branch]
section = "b"
path = ["far", "foot"]
end = {{ to = ["host"] }}
"#,
        head(2.0 * r, 2.0 * b, 1.0),
        far = foot + 500.0,
    );
    let (_, c) = cut(&text);
    let SetUp::HoleSaw { on_bend, gap, centre, .. } = &piece(&c, "branch").ends[1].setups[0] else {
        panic!("a hole saw was expected")
    };
    let out = ring + r;
    let falls = out - (out * out - b * b).sqrt();
    assert!(on_bend);
    near(*gap * 1e3, falls * (1.0 - (b / out).powi(2)).sqrt(), 1e-6);
    near(*centre, 0.0, 1e-9);
}
