//! The simplest way to cut an end, against closed forms and against moving and mirroring.

mod common;

use common::{cut, head, near};
use cutting::ends::{self, Process, batches};
use cutting::{Detail, SetUp};
use proptest::prelude::*;

/// A branch on a host along x: the angle between them in degrees; `map` moves every point, `reverse` draws the branch
/// from its foot.
fn branch(host: f64, od: f64, angle: f64, map: &dyn Fn([f64; 3]) -> [f64; 3], reverse: bool) -> String {
    let (s, c) = angle.to_radians().sin_cos();
    let at = |x: [f64; 3]| {
        let m = map(x);
        format!("[{:.12}, {:.12}, {:.12}]", m[0], m[1], m[2])
    };
    let (path, end) = if reverse { ("\"foot\", \"far\"", "start") } else { ("\"far\", \"foot\"", "end") };
    format!(
        r#"{}
[point]
a = {}
c = {}
far = {}
foot = {}
[tube.host]
section = "h"
path = ["a", "c"]
[tube.branch]
section = "b"
path = [{path}]
{end} = {{ to = ["host"] }}
"#,
        head(host, od, 1.0),
        at([-500.0, 0.0, 0.0]),
        at([500.0, 0.0, 0.0]),
        at([-400.0 * c, 0.0, 400.0 * s]),
        at([0.0, 0.0, 0.0]),
    )
}

fn ways(text: &str) -> Vec<ends::EndProcess> {
    let (shape, cutting) = cut(text);
    ends::processes(&shape, &cutting, Detail::SHEET)
}

/// The end of the branch that is coped.
fn coped(list: &[ends::EndProcess]) -> &ends::EndProcess {
    list.iter().find(|e| e.piece == "branch" && e.of(Process::HoleSaw).is_some()).expect("the branch is coped")
}

/// Square to its host a tube touches at the crown; at its sides R - √(R² - r²) is left along it, times the slope there.
/// No tilt helps, by symmetry.
#[test]
fn a_square_cut_on_a_round_host_leaves_the_rise_of_the_circle() {
    for (host, od) in [(60.0, 20.0), (48.3, 33.7), (38.1, 25.4)] {
        let list = ways(&branch(host, od, 90.0, &|p| p, false));
        let e = coped(&list);
        let (big, r) = (host / 2e3, od / 2e3);
        let slope = (1.0 - (r / big) * (r / big)).sqrt();
        let want = slope * (big - big * slope);
        for p in [Process::Square, Process::Mitre] {
            let c = e.of(p).expect("looked at");
            near(c.gap, want, 1e-7);
            near(c.outside, want, 1e-7);
            near(c.bound, want, 1e-7);
            assert!(c.between < 1e-6, "{}", c.between);
        }
        let two = e.of(Process::TwoCuts).expect("looked at");
        assert!(two.gap < 0.7 * want, "{} against {want}", two.gap);
        near(e.of(Process::HoleSaw).expect("looked at").gap, 0.0, 1e-8);
        let free = list.iter().find(|f| f.piece == "branch" && f.end != e.end).expect("a free end");
        assert_eq!(free.simplest().map(|c| c.process), Some(Process::Square));
    }
}

/// Two like tubes at a right angle: at the sides the fibres graze, so what is left there weighs nothing; in between
/// w (1 - w) r is largest at w = 1/2, a quarter of r. With a wall the bore reaches less far: no more than that.
#[test]
fn like_tubes_leave_a_quarter_of_the_radius() {
    let list = ways(&branch(38.1, 38.1, 90.0, &|p| p, false));
    near(coped(&list).of(Process::Square).expect("looked at").gap, 0.01905 / 4.0, 1e-7);
}

/// The first fit along the list is taken: a wide tube on a thin one takes a hole saw, a thin one on a wide one a
/// square cut.
#[test]
fn the_simplest_that_fits_is_taken() {
    // 6 on 100: the rise is 0.09 mm.
    assert_eq!(
        coped(&ways(&branch(100.0, 6.0, 90.0, &|p| p, false))).simplest().map(|c| c.process),
        Some(Process::Square)
    );
    let list = ways(&branch(100.0, 6.0, 60.0, &|p| p, false));
    let e = coped(&list);
    let c = e.simplest().expect("one");
    assert_eq!(c.process, Process::Mitre);
    let SetUp::Saw { angle, .. } = c.cuts[0].setup else { panic!() };
    near(angle, 30f64.to_radians(), 0.2f64.to_radians());
    assert_eq!(
        coped(&ways(&branch(40.0, 38.0, 90.0, &|p| p, false))).simplest().map(|c| c.process),
        Some(Process::HoleSaw)
    );
}

#[test]
fn a_box_on_a_box_takes_one_flat_cut_and_a_mitre_is_one() {
    let text = format!(
        r#"{}
[point]
a = [-500, 0, 0]
c = [500, 0, 0]
far = [-300, 0, 400]
d = [500, 300, 400]
[tube.host]
section = "r"
path = ["a", "c"]
[tube.branch]
section = "r"
path = ["far", "a"]
end = {{ to = ["host"] }}
[tube.corner]
section = "b"
path = ["c", "d"]
start = {{ cut = "square" }}
[tube.corner2]
section = "b"
path = ["d", "far"]
"#,
        head(40.0, 30.0, 2.0)
    );
    for e in ways(&text) {
        let c = e.simplest().expect("every end can be cut");
        assert!(c.fits || c.process == Process::Template, "{e:?}");
        if e.piece == "corner" && e.end == shape::End::End {
            assert_eq!(c.process, Process::Mitre);
            near(c.gap, 0.0, 1e-9);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(12) })]

    /// Gaps belong to the joint, not to where it lies or how it was drawn.
    #[test]
    fn gaps_do_not_change_with_moving_mirroring_or_reversing(
        host in 35.0..60.0f64, part in 0.4..0.97f64, angle in 35.0..90.0f64, turn in -3.0..3.0f64,
    ) {
        let od = host * part;
        let (s, c) = turn.sin_cos();
        let gaps = |text: String| {
            let list = ways(&text);
            [Process::Square, Process::Mitre, Process::HoleSaw, Process::Template]
                .map(|p| coped(&list).of(p).map_or(f64::NAN, |c| c.gap))
        };
        let a = gaps(branch(host, od, angle, &|p| p, false));
        let moved = gaps(branch(host, od, angle, &|p| [c * p[0] - s * p[1] + 30.0, s * p[0] + c * p[1], p[2] - 7.0], false));
        let mirrored = gaps(branch(host, od, angle, &|p| [p[0], -p[1], p[2]], false));
        let reversed = gaps(branch(host, od, angle, &|p| p, true));
        for k in 0..4 {
            for b in [&moved, &mirrored, &reversed] {
                // Bracket of the mitre: a micrometre; fibres stand elsewhere round a tube that is turned.
                prop_assert!((a[k] - b[k]).abs() < 3e-6, "{a:?} {b:?}");
            }
        }
        let list = ways(&branch(host, od, angle, &|p| p, false));
        let e = coped(&list);
        let gap = |p| e.of(p).map_or(f64::NAN, |c| c.gap);
        let mitre = e.of(Process::Mitre).expect("looked at");
        prop_assert!(mitre.gap <= gap(Process::Square) + 1e-9 && mitre.gap - mitre.bound < 1.1e-6, "{mitre:?}");
        // Twice the same plane is two cuts too; they are not looked at where one will do.
        let two = e.of(Process::TwoCuts);
        prop_assert_eq!(two.is_none(), mitre.fits);
        prop_assert!(two.is_none_or(|c| c.gap <= mitre.gap + 1e-6), "{two:?} {}", mitre.gap);
    }
}

#[test]
fn ends_with_one_setting_are_one_batch() {
    let mut text = head(40.0, 38.0, 2.0);
    text += "[point]\na = [-900, 300, 0]\nb = [900, 300, 0]\n";
    let mut tubes = "[tube.rail]\nsection = \"h\"\npath = [\"a\", \"b\"]\nmirror = true\n".to_string();
    for (k, x) in [-400.0, -100.0, 200.0].into_iter().enumerate() {
        text += &format!("p{k} = {{ on = \"rail\", x = {x} }}\n");
        tubes += &format!("[tube.cross{k}]\nsection = \"b\"\npath = [\"p{k}\", \"p{k}~\"]\n");
    }
    let (shape, cutting) = cut(&(text + &tubes));
    let list = ends::processes(&shape, &cutting, Detail::SHEET);
    let b = batches::batches(&list, &shape.design.limits);
    let notched: Vec<_> = b.batches.iter().filter(|b| matches!(b.tool, batches::Tool::HoleSaw { .. })).collect();
    assert_eq!(notched.len(), 1, "{b:#?}");
    assert_eq!(notched[0].places.len(), 6);
    assert_eq!(b.cost, b.bound);
    let places: usize = b.batches.iter().map(|b| b.places.len()).sum();
    assert_eq!(places, list.iter().map(|e| e.simplest().map_or(0, |c| c.cuts.len().max(1))).sum::<usize>());
}

/// A branch whose axis passes its host's at a distance: the notcher's offset has a side. Drawn from the other end it is
/// the same setting; its mirror image has it on the other side, but where it stands square and can be turned over.
#[test]
fn an_offset_has_a_side_and_a_twin_the_other() {
    let of = |angle: f64, map: &dyn Fn([f64; 3]) -> [f64; 3], reverse: bool| {
        // Everything but the host is moved across by 6.
        let across = |p: [f64; 3]| map(if p[1] == 0.0 && p[0].abs() == 500.0 { p } else { [p[0], p[1] + 6.0, p[2]] });
        let (shape, cutting) = cut(&branch(60.0, 30.0, angle, &across, reverse));
        let list = ends::processes(&shape, &cutting, Detail::SHEET);
        let b = batches::batches(&list, &shape.design.limits);
        let notch = b.batches.into_iter().find(|b| matches!(b.tool, batches::Tool::HoleSaw { .. })).expect("a notch");
        assert_eq!(notch.places.len(), 1);
        (notch.offset, notch.angle)
    };
    let mirrored = |p: [f64; 3]| [p[0], -p[1], p[2]];
    for angle in [50.0, 70.0, 90.0] {
        let (own, leans) = of(angle, &|p| p, false);
        near(own.abs(), 0.006, 1e-9);
        assert_eq!(of(angle, &|p| p, true), (own, leans));
        let (twin, same) = of(angle, &mirrored, false);
        near(same, leans, 1e-12);
        near(twin, if angle == 90.0 { own } else { -own }, 1e-12);
    }
    // By hand: out of the end is forward and down, the short side back and down, where the host leans over the branch.
    // One who faces the end looks back and up; up in his view is the short side, so his right is -y. There lies the saw's
    // axis, for the branch stands 6 towards +y of it.
    near(of(50.0, &|p| p, false).0, -0.006, 1e-9);
}
