//! Rules held against frames that can be worked out by hand.

use std::sync::Arc;

use design::rules::read;
use rules::{Facts, Figure, Held, LoadFact, Report, State, report};
use shape::Shape;

/// A cage of a hoop, two braces, a side bar and rails; `per` is a millimetre in the file's units.
fn frame(units: &str, more: &str) -> Shape {
    let per = if units == "mm" { 1.0 } else { 1.0 / 25.4 };
    let p = |x: f64, y: f64, z: f64| format!("[{}, {}, {}]", x * per, y * per, z * per);
    let text = format!(
        "[design]\nname = \"x\"\nunits = \"{units}\"\n\
         [section.size_a]\nshape = \"round\"\nod = {a}\nwall = {aw}\nmaterial = \"E355\"\n\
         [section.trap]\nshape = \"round\"\nod = {t}\nwall = {tw}\nmaterial = \"E355\"\n\
         [section.size_b]\nshape = \"round\"\nod = {b}\nwall = {bw}\nmaterial = \"E355\"\n\
         [point]\nfoot = {foot}\nshoulder = {shoulder}\ntop = {top}\nbrace_foot = {brace_foot}\n\
         brace_top = {{ on = \"hoop\", z = {bz}, pick = 1 }}\nside_rear = {{ on = \"hoop\", z = {sz}, pick = 1 }}\nside_front = {side_front}\n\
         [tube.hoop]\nsection = \"size_a\"\npath = [\"foot\", \"shoulder\", \"top\", \"top~\", \"shoulder~\", \"foot~\"]\nbend_radius = {r}\n\
         role = \"Main hoop\"\n\
         [tube.brace]\nsection = \"size_b\"\npath = [\"brace_foot\", \"brace_top\"]\nmirror = true\nrole = \"main hoop brace\"\n\
         [tube.side]\nsection = \"trap\"\npath = [\"side_front\", \"side_rear\"]\nmirror = true\nrole = \"upper side member\"\n{more}",
        a = 25.0 * per,
        aw = 2.5 * per,
        t = 25.0 * per,
        tw = 2.0 * per,
        b = 25.4 * per,
        bw = 1.6 * per,
        foot = p(0.0, 300.0, 0.0),
        shoulder = p(-40.0, 300.0, 800.0),
        top = p(-60.0, 120.0, 1100.0),
        brace_foot = p(-800.0, 300.0, 0.0),
        bz = 950.0 * per,
        sz = 400.0 * per,
        side_front = p(900.0, 300.0, 350.0),
        r = 80.0 * per,
    );
    let read = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", &text)));
    shape::resolve(Arc::new(read.design)).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", &text)))
}

const ROLES: &str = "[rules]\nname = \"own\"\nedition = \"1\"\nwhose = \"the club\"\n\
    [role.hoop]\nwords = [\"main hoop\"]\nwithout = [\"brace\"]\n[role.brace]\nwords = [\"brace\"]\nmeets = \"hoop\"\n\
    [role.side]\nwords = [\"side\"]\n[role.nobody]\nwords = [\"unicorn\"]\n";

/// The same frame, every tube drawn from its other end.
fn reversed() -> Shape {
    let text = frame("mm", "").design.source.to_string();
    let turned: Vec<String> = text
        .lines()
        .map(|line| match line.strip_prefix("path = [").and_then(|l| l.strip_suffix("]")) {
            Some(path) => format!(
                "path = [{}]",
                path.split(", ").collect::<Vec<_>>().into_iter().rev().collect::<Vec<_>>().join(", ")
            ),
            // Places on a tube are counted from its start: what was the first is the last.
            None if line.contains("pick = 1") => line.replace("pick = 1", "pick = 2"),
            None => line.to_owned(),
        })
        .collect();
    let text = turned.join("\n");
    let read = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", &text)));
    shape::resolve(Arc::new(read.design)).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", &text)))
}

fn held_on(shape: &Shape, rule: &str, facts: &Facts<'_>) -> Report {
    let text = format!("{ROLES}{rule}\nclause = \"1.1\"\nknown = \"own\"\n");
    let set = read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "set", &text)));
    report(shape, &set, facts)
}

fn held(rule: &str) -> Vec<Held> {
    let [mm, inch] =
        ["mm", "in"].map(|units| held_on(&frame(units, ""), rule, &Facts::default()).answers[0].held.clone());
    // The units of the design change nothing.
    assert_eq!(mm.len(), inch.len());
    for (a, b) in mm.iter().zip(&inch) {
        assert_eq!((&a.of, a.state), (&b.of, b.state));
        if let (Some(x), Some(y)) = (a.measured, b.measured) {
            assert!((x.number() - y.number()).abs() <= 1e-9 * x.number().abs().max(1e-3), "{a:?} {b:?}");
        }
    }
    mm
}

fn number(h: &Held) -> f64 {
    h.measured.expect("it was measured").number()
}

fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by, "{a} is not {b}");
}

#[test]
fn the_printed_traps_of_sections() {
    // Formula SAE Rules 2026, F.3.4.1; areas and second moments by closed form: 25.0 x 2.0 has 144.5 mm2 and 9628 mm4 and fails
    // size A; 25 x 2.5 has 176.7 and 11320.8 and passes; 25.4 x 1.6 is listed for size B with 8509 and has 8508.82.
    let size = |of: &str, area: f64, inertia: f64, to: &str| {
        held(&format!("[section.x]\nof = [\"{of}\"]\nod = 25\nwall = 1.2\narea = {area}\ninertia = {inertia}\n{to}"))
    };
    let whole = "area_to = 1\ninertia_to = 1";
    let states = |list: &[Held]| list.iter().map(|h| h.state).collect::<Vec<_>>();
    use State::{Over, Within};
    let a = size("hoop", 173.0, 11320.0, whole);
    assert_eq!(states(&a), [Within; 4]);
    near(number(&a[2]), 177e-6, 1e-15);
    near(number(&a[3]), 11321e-12, 1e-18);
    let trap = size("side", 173.0, 11320.0, whole);
    assert_eq!(states(&trap[..4]), [Within, Within, Over, Over]);
    near(number(&trap[2]), 145e-6, 1e-15);
    near(number(&trap[3]), 9628e-12, 1e-18);
    let b = size("brace", 114.0, 8509.0, whole);
    assert_eq!((states(&b[..4]), b.len()), (vec![Within; 4], 8), "each twin is held");
    // Taken to the last digit the listed example fails its own table: that is why it is rounded.
    assert_eq!(size("brace", 114.0, 8509.0, "")[3].state, Over);
}

#[test]
fn one_of_several_sizes_is_enough() {
    let sizes = |list: &str| held(&format!("[section.x]\nof = [\"hoop\"]\nsizes = {list}"));
    let good = sizes("[[30, 2.0], [25, 2.5]]");
    assert!(good.iter().all(|h| h.state == State::Within), "{good:?}");
    let bad = sizes("[[30, 2.0], [25, 2.6]]");
    // That which it comes nearest to is told: 2.5 of 2.6, not 25 of 30.
    assert_eq!(bad.iter().map(|h| h.state).collect::<Vec<_>>(), [State::Within, State::Over]);
    near(bad[1].limit.expect("a limit").number(), 2.6e-3, 1e-12);
}

#[test]
fn equivalence_is_worked_out_measure_by_measure() {
    // Against 25.4 x 2.4 mm at 305 and 365 MPa, welded 180 and 300 (Formula SAE Rules 2026, F.3.4.2).
    let base = "od = 25.4\nwall = 2.4\nyield = 305\ntensile = 365\nwelded_yield = 180\nwelded_tensile = 300";
    let h = held(&format!("[equal.x]\nof = [\"hoop\"]\n{base}\nany_steel = true"));
    assert_eq!(h.len(), 12);
    let tube = |d: f64, t: f64| {
        let (i, a) =
            (std::f64::consts::PI / 64.0 * (d.powi(4) - (d - 2.0 * t).powi(4)), std::f64::consts::PI * t * (d - t));
        (i, a, i / (d / 2.0))
    };
    let ((i, a, z), (bi, ba, bz)) = (tube(25.0, 2.5), tube(25.4, 2.4));
    for (k, wanted) in
        [i / bi, a / ba, a / ba, a / ba, z / bz, z / bz, (z / bz).powi(2) / (i / bi)].into_iter().enumerate()
    {
        near(number(&h[k]), wanted, 1e-12);
        assert_eq!(h[k].state, if wanted >= 1.0 { State::Within } else { State::Over }, "{}", h[k].what);
    }
    assert!(h[7..].iter().all(|x| x.what.ends_with("as welded")));
    // By its own material: E355 yields later, but what it has as welded is not known.
    let own = held(&format!("[equal.x]\nof = [\"hoop\"]\n{base}"));
    assert!(number(&own[2]) > number(&h[2]));
    assert!(own[7..].iter().all(|x| x.state == State::NotChecked));
    // A material that is no steel does not count as one.
    let few = held(&format!("[equal.x]\nof = [\"hoop\"]\n{base}\nby = [\"area\", \"energy\"]"));
    assert_eq!(few.iter().map(|x| x.what.as_str()).collect::<Vec<_>>(), ["area", "energy", "energy as welded"]);
}

#[test]
fn bends_by_hand() {
    let h = held("[bend.x]\nof = [\"hoop\"]\nradius = 3\nmost = 4\nsum_least = 170\nsum_most = 190");
    // Four bends of 80 on 25: 3.2 diameters. Seen from the front the legs turn by half a turn less their rake.
    assert_eq!(h.iter().filter(|x| x.what.starts_with("radius")).count(), 4);
    assert!(h[..4].iter().all(|x| (number(x) - 3.2).abs() < 1e-9 && x.at.is_some()));
    assert_eq!((h[4].measured, h[4].state), (Some(Figure::Count(4)), State::Within));
    assert!(number(&h[5]).to_degrees() > 175.0 && number(&h[5]).to_degrees() < 181.0);
    let straight = held("[bend.x]\nof = [\"brace\"]\nmost = 0");
    assert!(straight.len() == 2 && straight.iter().all(|x| x.state == State::Within));
    assert!(held("[bend.x]\nof = [\"hoop\"]\nradius = 3.5")[0].state == State::Over);
}

#[test]
fn angles_by_hand() {
    let at = |words: &str| held(&format!("[angle.x]\n{words}"));
    // The legs lean rearward by 40 in 800 as seen from the side, below and above where the side member meets them.
    let lean = (40.0f64 / 800.0).atan();
    for part in ["", "below = [\"side\"]\n", "above = [\"side\"]\n"] {
        let h = at(&format!("of = [\"hoop\"]\nfrom = \"vertical\"\nseen = \"side\"\n{part}most = 10"));
        near(number(&h[0]), lean, 1e-9);
        // Above there are the slanted stretches to the top, too; the level top shows no angle from the side.
        let slanted = (20.0f64 / 300.0).atan();
        assert_eq!(h.len(), if part.starts_with("below") { 2 } else { 4 }, "{part}");
        if h.len() == 4 {
            near(number(&h[1]), slanted, 1e-9);
        }
    }
    // From the front the legs stand upright and the stretches above lean inward by 180 in 300.
    let h = at("of = [\"hoop\"]\nfrom = \"vertical\"\nseen = \"front\"\nmost = 30");
    near(number(&h[0]), 0.0, 1e-9);
    near(number(&h[1]), (180.0f64 / 300.0).atan(), 1e-9);
    near(number(&h[2]), std::f64::consts::FRAC_PI_2, 1e-9);
    assert_eq!(h[1].state, State::Over);
    // Hoop and brace: both ends of the same line whichever way they are drawn.
    let h = at("of = [\"brace\"]\nwith = [\"hoop\"]\nleast = 30");
    assert_eq!((h.len(), h[0].of.join(" "), h[1].of.join(" ")), (2, "brace hoop".into(), "brace~ hoop".into()));
    near(number(&h[0]), number(&h[1]), 1e-9);
    let back = held("[angle.x]\nof = [\"hoop\"]\nwith = [\"brace\"]\nleast = 30");
    near(number(&back[0]), number(&h[0]), 1e-12);
    let why = at("of = [\"brace\"]\nwith = [\"side\"]\nleast = 30");
    assert!(why[0].state == State::NotChecked && why[0].why.as_ref().expect("why").contains("meets no tube of side"));
}

#[test]
fn distances_by_hand() {
    let at = |words: &str| held(&format!("[distance.x]\n{words}"));
    // Feet 600 apart between centres, 575 inside.
    let h = at(
        "of = [\"hoop\"]\nat = \"foot\"\nto = [\"hoop\"]\nto_at = \"foot\"\nalong = \"y\"\nbetween = \"insides\"\nleast = 380",
    );
    assert_eq!(h.len(), 1);
    near(number(&h[0]), 0.575, 1e-9);
    let h = at(
        "of = [\"hoop\"]\nat = \"foot\"\nto = [\"hoop\"]\nto_at = \"foot\"\nalong = \"y\"\nbetween = \"outsides\"\nmost = 625",
    );
    near(number(&h[0]), 0.625, 1e-9);
    assert_eq!(h[0].state, State::Within);
    // The brace meets the hoop 150 below its top's centre line.
    let h = at("of = [\"brace\"]\nat = \"joint\"\nto = [\"hoop\"]\nto_at = \"top\"\nalong = \"z\"\nmost = 160");
    assert_eq!(h.len(), 2);
    near(number(&h[0]), 0.150, 1e-9);
    assert!(h.iter().all(|x| x.state == State::Within));
    assert!(
        at("of = [\"brace\"]\nat = \"joint\"\nto = [\"hoop\"]\nto_at = \"top\"\nalong = \"z\"\nmost = 149")[0].state
            == State::Over
    );
    // From the brace's foot to the side member: it is nearest at its rear end.
    let h = at("of = [\"brace\"]\nat = \"foot\"\nto = [\"side\"]\nto_at = \"anywhere\"\nleast = 10");
    near(number(&h[0]), (780.0f64.hypot(400.0)) * 1e-3, 1e-9);
    assert!(
        at("of = [\"hoop\"]\nat = \"top\"\nto = [\"nobody\"]\nto_at = \"top\"\nleast = 1")[0].state
            == State::NotChecked
    );
}

#[test]
fn spans_and_counts_by_hand() {
    // From the hoop's brace over its top to the other.
    let h = held("[span.x]\nof = [\"hoop\"]\nmost = 700");
    assert_eq!(h.len(), 1);
    assert!(number(&h[0]) > 0.4 && number(&h[0]) < 0.7 && h[0].state == State::Within);
    assert_eq!(held("[span.x]\nof = [\"side\"]\nmost = 700")[0].state, State::Over);
    let h = held("[count.x]\nof = [\"brace\"]\neach_side = true\nleast = 1\nmost = 1");
    assert_eq!(h.iter().map(|x| x.state).collect::<Vec<_>>(), [State::Within; 4]);
    assert_eq!(held("[count.x]\nof = [\"brace\"]\nleast = 3")[0].state, State::Over);
    let none = held("[count.x]\nof = [\"nobody\"]\nleast = 1");
    assert!(none[0].state == State::NotChecked && none[0].why.as_deref() == Some("no tube has role = \"unicorn\""));
}

#[test]
fn plates_lie_under_feet() {
    let plate = |corner: f64, hole: &str| {
        format!(
            "[plate.pad]\nthickness = 3\nmaterial = \"S355\"\nside = \"below\"\nmirror = true\n\
             outline = {{ origin = \"foot\", x = [1, 0, 0], y = [0, 1, 0], corners = [[-50, -{corner}], [50, -{corner}], [50, {corner}], [-50, {corner}]] }}\n{hole}"
        )
    };
    let rule = "[plate.x]\nof = [\"hoop\"]\narea = 12000\nthickness = 3\nholes = 3";
    let on = |more: &str| held_on(&frame("mm", more), rule, &Facts::default()).answers[0].clone();
    let holes = "holes = [{ at = [30, 30], d = 9 }, { at = [-30, 30], d = 9 }, { at = [30, -30], d = 9 }]\n";
    // 100 x 120 mm: exactly what is wanted, the holes not taken off.
    let a = on(&plate(60.0, holes));
    assert_eq!((a.state, a.held.len()), (State::Within, 6), "{a:?}");
    near(number(&a.held[0]), 0.012, 1e-12);
    let a = on(&plate(59.0, ""));
    assert_eq!(a.held.iter().map(|h| h.state).collect::<Vec<_>>()[..3], [State::Over, State::Within, State::Over]);
    let a = on("");
    assert!(a.state == State::NotChecked && a.held[0].why.as_deref() == Some("no plate lies under it"));
}

#[test]
fn loads_are_those_of_strength_and_go_with_the_mass() {
    let fact = |name: &str, force: f64, energy: Option<f64>| LoadFact {
        name: name.into(),
        moved: Some(0.024),
        worst: Some((0.9, "hoop".into())),
        buckling: None,
        force: Some(force),
        energy,
        energy_at_least: Some(700.0),
    };
    let loads = vec![fact("work-machine: sideways", 6000.0, Some(731.1)), fact("other", 1.0, None)];
    let facts = Facts { room: None, loads, mass: 1000.0 };
    let shape = frame("mm", "");
    let on = |words: &str| held_on(&shape, &format!("[load.x]\n{words}"), &facts);
    // EU 1322/2014 annex VII, table 8.1 at 1000 kg: 6000 N and 731.0 J.
    let rule = "load = \"work\"\nforce = { times = 6 }\nenergy = { times = 13000, at = 10000, power = 1.25 }";
    let a = &on(rule).answers[0];
    assert_eq!((a.state, a.held.len()), (State::Within, 2));
    near(a.held[1].limit.expect("a limit").number(), 731.0, 0.05);
    let a = &on("load = \"work\"\nmoves = 25\nuse = 0.8\nbuckling = 1.5").answers[0];
    assert_eq!(a.held.iter().map(|h| h.state).collect::<Vec<_>>(), [State::Within, State::Over, State::NotChecked]);
    // For other machines it is no rule.
    assert!(on(&format!("{rule}\nmass_over = 1000")).answers.is_empty());
    assert_eq!(on(&format!("{rule}\nmass_to = 1000")).answers.len(), 1);
    let a = &on("load = \"roof\"\nuse = 1").answers[0];
    assert!(a.state == State::NotChecked && a.held[0].why.as_ref().expect("why").contains("begins with roof"));
}

#[test]
fn rooms_come_from_shape_and_eyes_never_answer() {
    let a = &held_on(&frame("mm", ""), "[room.x]\nof = \"body\"\nleast = 10", &Facts::default()).answers[0];
    assert_eq!(a.state, State::NotChecked);
    let shape = frame("mm", "[occupant.driver]\nhip = [300, 0, 150]\nstature = 1800\nkg = 80\n");
    let room = shape::room::room(&shape);
    let facts = Facts { room: Some(&room), ..Facts::default() };
    let body = &held_on(&shape, "[room.x]\nof = \"body\"\nleast = 10", &facts).answers[0];
    let least = body.held.iter().map(number).fold(f64::INFINITY, f64::min);
    let nearest = room.occupants[0].near.iter().map(|n| n.distance).fold(f64::INFINITY, f64::min);
    assert_eq!(least, nearest);
    let lines = &held_on(&shape, "[room.x]\nof = \"helmet to line to braces\"\nleast = 50", &facts).answers[0];
    assert_eq!(lines.held.len(), room.occupants[0].lines.iter().filter(|l| l.foot).count().max(1));
    let eye = &held_on(&shape, "[by_eye.x]\nsays = \"no sharp edges\"", &facts).answers[0];
    assert_eq!((eye.state, eye.says.as_str()), (State::NotChecked, "no sharp edges"));
}

#[test]
fn it_does_not_matter_from_which_end_tubes_are_drawn() {
    let (drawn, turned) = (frame("mm", ""), reversed());
    for rule in [
        "[bend.x]\nof = [\"hoop\"]\nradius = 3\nsum_most = 190",
        "[angle.x]\nof = [\"hoop\"]\nfrom = \"vertical\"\nseen = \"side\"\nabove = [\"side\"]\nmost = 10",
        "[angle.x]\nof = [\"brace\"]\nwith = [\"hoop\"]\nleast = 30",
        "[distance.x]\nof = [\"hoop\"]\nat = \"foot\"\nto = [\"hoop\"]\nto_at = \"foot\"\nbetween = \"insides\"\nleast = 1",
        "[distance.x]\nof = [\"brace\"]\nat = \"joint\"\nto = [\"hoop\"]\nto_at = \"top\"\nalong = \"z\"\nmost = 160",
        "[distance.x]\nof = [\"brace\"]\nat = \"foot\"\nto = [\"side\"]\nto_at = \"anywhere\"\nleast = 1",
        "[span.x]\nof = [\"hoop\", \"side\"]\nmost = 700",
        "[count.x]\nof = [\"brace\"]\neach_side = true\nleast = 1",
    ] {
        let sorted = |s: &Shape| {
            let mut all: Vec<f64> = held_on(s, rule, &Facts::default()).answers[0].held.iter().map(number).collect();
            all.sort_by(f64::total_cmp);
            all
        };
        let (a, b) = (sorted(&drawn), sorted(&turned));
        assert_eq!(a.len(), b.len(), "{rule}");
        assert!(a.iter().zip(&b).all(|(x, y)| (x - y).abs() < 1e-9), "{rule}: {a:?} {b:?}");
    }
}

#[test]
fn a_box_counts_by_its_smaller_side_and_its_weakest_axis() {
    // 60 x 40 x 3 with sharp corners: I = (60 x 40^3 - 54 x 34^3) / 12 about the weak axis, whichever way it stands.
    let weak = (60.0 * 40.0f64.powi(3) - 54.0 * 34.0f64.powi(3)) / 12.0;
    for (width, height) in [(40, 60), (60, 40)] {
        let more = format!(
            "[section.rail]\nshape = \"box\"\nwidth = {width}\nheight = {height}\nwall = 3\ncorner = 0\nmaterial = \"S355\"\n\
             [tube.beam]\nsection = \"rail\"\npath = [\"side_front\", \"side_front~\"]\nrole = \"unicorn\"\n"
        );
        let rule = "[section.x]\nof = [\"nobody\"]\nod = 45\ninertia = 1000";
        let held = held_on(&frame("mm", &more), rule, &Facts::default()).answers[0].held.clone();
        near(number(&held[0]), 0.040, 1e-12);
        assert_eq!(held[0].state, State::Over);
        near(number(&held[1]), weak * 1e-12, 1e-18);
    }
}
