//! The frame as built, through the design file and the measured sheet.

use std::collections::BTreeSet;
use std::sync::Arc;

use cutting::Detail;
use review::{Made, Review, Text, built, review};
use shape::Level;

/// A cradle of two rails with a hoop, a cross tube and braces.
fn text(units: &str, points: &str, mirrored: bool) -> String {
    let tubes: &[(&str, &str, &str, bool)] = &[
        ("rail", "box", "front, rear", true),
        ("hoop", "tube", "foot, shoulder, shoulder~, foot~", false),
        ("cross", "tube", "mid, mid~", false),
        ("brace", "tube", "back, high", true),
        ("bar", "tube", "high, high~", false),
    ];
    let mut out = format!(
        "[design]\nname = \"cradle\"\nunits = \"{units}\"\n[limits]\nfit = \"0.5 mm\"\n[section.box]\nshape = \"box\"\nwidth = \"40 mm\"\nheight = \"60 mm\"\nwall = \"3 mm\"\nmaterial = \"S355\"\n[section.tube]\nshape = \"round\"\nod = \"38 mm\"\nwall = \"2.5 mm\"\nmaterial = \"S235\"\n[point]\n{points}\n"
    );
    let quote = |path: &str, twin: bool| {
        let names = path.split(", ").map(|p| match (mirrored, twin, p.strip_suffix('~')) {
            (true, ..) => format!("\"{p}\""),
            (false, false, Some(base)) => format!("\"{base}_r\""),
            (false, true, None) => format!("\"{p}_r\""),
            (false, true, Some(base)) => format!("\"{base}\""),
            (false, false, None) => format!("\"{p}\""),
        });
        names.collect::<Vec<_>>().join(", ")
    };
    for (name, section, path, both) in tubes {
        let bend = if *name == "hoop" { "bend_radius = \"120 mm\"\n" } else { "" };
        let flag = if *both && mirrored { "mirror = true\n" } else { "" };
        out += &format!("[tube.{name}]\nsection = \"{section}\"\npath = [{}]\n{bend}{flag}", quote(path, false));
        if *both && !mirrored {
            out += &format!("[tube.{name}_r]\nsection = \"{section}\"\npath = [{}]\n", quote(path, true));
        }
    }
    out
}

const POINTS: &str = "front = [900, 300, 0]\nrear = [-900, 300, 0]\nfoot = { on = \"rail\", x = -200 }\nshoulder = [-200, 280, 900]\nmid = { on = \"rail\", x = 300 }\nback = { on = \"rail\", x = -800 }\nhigh = { on = \"hoop\", z = 600, pick = 1 }";

fn answers(text: &str) -> Review {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "cradle", text))).design;
    review(Arc::new(design), Detail::SHEET).expect("answers")
}

/// Every point held where it is said to be: a sheet without error.
fn measured_at(places: &[(&str, [f64; 3])], more: &str) -> String {
    // Three targets round the frame are held; distances from them and heights place all others.
    let mut out = "[sheet]\nunits = \"mm\"\nset_level = true\nstanding = \"hoop\"\n[good_to]\ntape = 0.01\nheight = 0.01\nplumb = 0.01\n[held.o]\nof = \"front\"\n[level.l]\nover_datum = 0\n".to_owned();
    out += more;
    let [ox, oy, oz] = [900.0, 300.0, 0.0];
    for (name, [x, y, z]) in places {
        let key = name.replace('~', "_");
        out += &format!("[plumb.x{key}]\nfrom = \"front\"\nto = \"{name}\"\nalong = \"x\"\nreads = {}\n", x - ox);
        out += &format!("[plumb.y{key}]\nfrom = \"front\"\nto = \"{name}\"\nalong = \"y\"\nreads = {}\n", y - oy);
        out += &format!("[rise.z{key}]\nfrom = \"front\"\nto = \"{name}\"\nreads = {}\n", z - oz);
    }
    out
}

const BUILT: [(&str, [f64; 3]); 5] = [
    ("rear", [-903.0, 301.5, 4.0]),
    ("front~", [899.0, -302.0, -1.0]),
    ("rear~", [-898.0, -297.0, 2.0]),
    ("foot", [-202.0, 301.0, 1.0]),
    ("foot~", [-199.5, -300.5, 1.5]),
];

#[test]
fn the_rest_is_cut_as_a_design_of_what_stands_would_have_it() {
    let r = answers(&text("mm", POINTS, true));
    let b = built::built(&r, &measured_at(&BUILT, ""), &Made::default()).expect("a sheet");
    assert!(
        b.problems.is_empty() && b.fit.troubles.is_empty() && b.refused.is_empty(),
        "{:?} {:?}",
        b.fit.troubles,
        b.refused
    );
    let own = b.review.as_ref().expect("answers");
    for (name, [x, y, z]) in BUILT {
        let at = b.fit.place(name).expect("a place").at * 1e3;
        assert!(at.distance(geometry::DVec3::new(x, y, z)) < 1e-9, "{name} {at}");
    }
    // The same frame written out by hand, both sides by themselves. The hoop keeps its form: its shoulders go with its feet.
    let hoop = &own.shape.tubes[own.shape.find("hoop").expect("a hoop")].chain.corners;
    let p = |v: geometry::DVec3| format!("[{}, {}, {}]", v.x * 1e3, v.y * 1e3, v.z * 1e3);
    let mut points =
        "front = [900, 300, 0]\nfront_r = [899, -302, -1]\nrear = [-903, 301.5, 4]\nrear_r = [-898, -297, 2]\n"
            .to_owned();
    points += &format!(
        "foot = {}\nshoulder = {}\nshoulder_r = {}\nfoot_r = {}\n",
        p(hoop[0]),
        p(hoop[1]),
        p(hoop[2]),
        p(hoop[3])
    );
    points += "mid = { on = \"rail\", x = 300 }\nmid_r = { on = \"rail_r\", x = 300 }\nback = { on = \"rail\", x = -800 }\nback_r = { on = \"rail_r\", x = -800 }\nhigh = { on = \"hoop\", z = 600, pick = 1 }\nhigh_r = { on = \"hoop\", z = 600, pick = 2 }";
    let other = answers(&text("mm", &points, false));
    for p in &own.cutting.pieces {
        let q = other.cutting.pieces.iter().find(|q| q.name == p.name.replace('~', "_r")).expect("the same piece");
        let off =
            (p.lengths.over_long - q.lengths.over_long).abs().max((p.lengths.over_short - q.lengths.over_short).abs());
        assert!(off < 1e-8, "{}: {off}", p.name);
        for e in shape::End::BOTH {
            for (f, g) in p.end(e).profile.fibres.iter().zip(&q.end(e).profile.fibres) {
                // A twin's fibres run the other way round.
                if p.twin_of.is_none() {
                    assert!((f.outer - g.outer).abs() < 1e-8 && (f.inner - g.inner).abs() < 1e-8, "{} {e:?}", p.name);
                }
            }
        }
    }
    // The hoop stands: it is not among the changes, nor are the rails.
    let changed: Vec<&str> = b.changes.iter().map(|c| c.piece.as_str()).collect();
    assert!(changed.contains(&"brace") && changed.contains(&"cross") && !changed.contains(&"hoop"), "{changed:?}");
    let cross = b.changes.iter().find(|c| c.piece == "cross").expect("cross");
    assert!((cross.was - 0.56).abs() < 1e-9 && (cross.longer() * 1e3 - 1.2).abs() < 1.0, "{cross:?}");
}

#[test]
fn a_frame_as_designed_changes_nothing() {
    let r = answers(&text("mm", POINTS, true));
    let places: Vec<(&str, [f64; 3])> = vec![
        ("rear", [-900.0, 300.0, 0.0]),
        ("front~", [900.0, -300.0, 0.0]),
        ("rear~", [-900.0, -300.0, 0.0]),
        ("foot", [-200.0, 300.0, 0.0]),
    ];
    let mut r2 = r.clone();
    r2.measured(&measured_at(&places, ""), &Made::default()).expect("a sheet");
    let b = r2.built.as_ref().expect("built");
    assert!(b.changes.is_empty() && b.unchanged == 4, "{:?}", b.changes);
    assert!(b.new_findings.is_empty(), "{:?}", b.new_findings);
    let t = Text::new(&r.shape.design);
    for e in &b.effects {
        let (Some(was), Some(now)) = (e.designed, e.built) else { panic!("{e:?}") };
        assert_eq!(t.shown(was), t.shown(now), "{}", e.what);
    }
    assert!(r2.findings.iter().all(|f| f.answer != "build"), "{:?}", r2.findings);
    assert!(built::sheets(&r2, b, &t).iter().all(|s| s.id != "changes" && s.id != "effects"));
}

#[test]
fn a_piece_that_is_cut_already_is_told_by_how_much_it_is_short() {
    let mut r = answers(&text("mm", POINTS, true));
    let wide = [("front~", [900.0, -306.0, 0.0]), ("rear~", [-900.0, -306.0, 0.0])];
    let made = Made { cut: BTreeSet::from(["cross".to_owned()]), ..Made::default() };
    r.measured(&measured_at(&wide, ""), &made).expect("a sheet");
    let f = r.findings.iter().find(|f| f.tubes == ["cross"] && f.answer == "build").expect("a finding");
    assert_eq!(
        (f.level, f.what.as_str()),
        (Level::Mend, "cross is cut already and is 6 mm too short for the frame as built")
    );
    assert!(r.must_mend());
    // What stands by the shop's record is not cut anew.
    let made = Made { standing: vec!["cross".to_owned(), "rail".to_owned(), "rail~".to_owned()], ..Made::default() };
    let sheet = measured_at(&wide, "").replace("standing = \"hoop\"\n", "");
    r.measured(&sheet, &made).expect("a sheet");
    let b = r.built.as_ref().expect("built");
    assert_eq!(b.fit.standing, ["rail", "rail~", "cross"]);
    assert!(b.changes.iter().all(|c| c.piece != "cross") && b.changes.iter().any(|c| c.piece == "hoop"));
}

#[test]
fn a_bad_sheet_is_told_by_its_lines_and_the_rest_is_used() {
    let mut r = answers(&text("mm", POINTS, true));
    let more = "[tape.a]\nfrom = \"front\"\nto = \"reer\"\nreads = 1800\n[tape.b]\nfrom = \"front front\"\nto = \"rear\"\nreads = 1800\n[tape.c]\nfrom = \"front\"\nto = \"front\"\nreads = 1800\n[tape.e]\nfrom = \"front top hoop\"\nto = \"rear\"\nreads = 1800\n";
    r.measured(&measured_at(&BUILT, more), &Made::default()).expect("a sheet");
    let told = |words: &str| r.findings.iter().any(|f| f.answer == "build" && f.what.contains(words));
    assert!(told("line 15: `to` of tape `a` names `reer`"), "{:?}", r.findings);
    assert!(told("tape b is not used: rail runs along there") && told("tape c is not used: the same point twice"));
    assert!(told("tape e is not used: front is not on hoop"));
    assert!(r.built.as_ref().expect("built").review.is_some());
    assert!(r.measured("[tape", &Made::default()).is_err());
    // Bends that no longer fit are told, and the figures of the points are still there.
    let far = [("foot", [-200.0, 20.0, 800.0]), ("foot~", [-200.0, -20.0, 800.0])];
    let sheet = measured_at(&far, "").replace("standing = \"hoop\"", "standing = \"rail\"");
    r.measured(&sheet, &Made::default()).expect("a sheet");
    let b = r.built.as_ref().expect("built");
    assert!(!b.refused.is_empty() && b.review.is_none() && b.fit.places.len() == 3, "{:?}", b.refused);
    assert!(r.findings.iter().any(|f| f.what.contains("the frame as built has no answers") && f.level == Level::Mend));
}

#[test]
fn inches_read_as_inches() {
    let points = "front = [36, 12, 0]\nrear = [-36, 12, 0]\nfoot = { on = \"rail\", x = -8 }\nshoulder = [-8, 11, 36]\nmid = { on = \"rail\", x = 12 }\nback = { on = \"rail\", x = -30 }\nhigh = { on = \"hoop\", z = 24, pick = 1 }";
    let mut r = answers(&text("in", points, true));
    let sheet = "[sheet]\nstanding = \"rail\"\n[held.a]\nof = \"front\"\n[held.b]\nof = \"rear\"\n[held.c]\nof = \"front~\"\naxes = \"xz\"\n[held.d]\nof = \"rear~\"\naxes = \"xz\"\n[tape]\nf = { from = \"front inside\", to = \"front~ inside\", reads = \"22 9/16\" }\nr = { from = \"rear inside\", to = \"rear~ inside\", reads = \"22 9/16\" }\n";
    r.measured(sheet, &Made::default()).expect("a sheet");
    let b = r.built.clone().expect("built");
    let t = Text::new(&r.shape.design);
    let sheets = built::sheets(&r, &b, &t);
    // 40 mm wide rails 24 in apart are 22.425 in apart inside: an eighth more was read, and a little.
    let off = &sheets.iter().find(|s| s.id == "off").expect("places").rows;
    let row = off.iter().find(|(c, _)| c[0] == "front~").expect("a row");
    assert_eq!(row.0[2], "-0.137", "{row:?}");
    let changes = &sheets.iter().find(|s| s.id == "changes").expect("changes").rows;
    let cross = changes.iter().find(|(c, _)| c[0] == "cross").expect("cross");
    assert_eq!(
        (cross.0[2].as_str(), cross.0[3].as_str(), cross.0[4].as_str()),
        ("22 7/16 (22.425)", "22 9/16 (22.562)", "+0.137")
    );
    let start = built::to_fill_in(&r, &review::jigs::of(&r), &t);
    assert!(start.contains("units = \"in\"") && start.contains("# t1 = {"), "{start}");
    // As it is written, it can be read, and says nothing.
    r.measured(&start, &Made::default()).expect("a sheet");
    let b = r.built.as_ref().expect("built");
    assert!(b.problems.is_empty() && b.fit.places.is_empty());
}

#[test]
fn a_hoop_that_was_bent_otherwise_is_landed_on_where_it_is() {
    // Its shoulders came out 4 mm lower, 5 mm wider and 6 mm farther forward than drawn.
    let r = answers(&text("mm", POINTS, true));
    let bent = answers(&text("mm", &POINTS.replace("[-200, 280, 900]", "[-194, 285, 896]"), true));
    let at = |name: &str| {
        let j = bent.shape.joints.iter().find(|j| j.name == name).expect("a joint");
        (j.at * 1e3).to_array()
    };
    let places: Vec<(&str, [f64; 3])> = vec![
        ("rear", [-900.0, 300.0, 0.0]),
        ("front~", [900.0, -300.0, 0.0]),
        ("rear~", [-900.0, -300.0, 0.0]),
        ("high", at("high")),
        ("high~", at("high~")),
    ];
    let b = built::built(&r, &measured_at(&places, ""), &Made::default()).expect("a sheet");
    assert!(b.beside.is_empty() && b.refused.is_empty(), "{:?}", b.beside);
    let own = b.review.as_ref().expect("answers");
    for name in ["bar", "brace", "brace~"] {
        let of = |r: &Review| r.cutting.pieces.iter().find(|p| p.name == name).expect("a piece").clone();
        let (p, q) = (of(own), of(&bent));
        let off = (p.lengths.over_long - q.lengths.over_long).abs();
        assert!(off < 1e-4, "{name} {off}");
        for e in shape::End::BOTH {
            for set in &p.end(e).setups {
                if let cutting::SetUp::HoleSaw { offset, .. } = set {
                    assert!(offset.abs() < 1e-4, "{name} is notched beside the hoop by {offset}");
                }
            }
        }
    }
}

#[test]
fn pieces_that_rest_on_doubtful_readings_are_marked() {
    let r = answers(&text("mm", POINTS, true));
    let held = "[sheet]\nunits = \"mm\"\nset_level = true\nstanding = \"hoop\"\n[held.a]\nof = \"front\"\n[held.b]\nof = \"rear\"\n\
                [held.c]\nof = \"front~\"\naxes = \"xz\"\n[held.d]\nof = \"rear~\"\naxes = \"xz\"\n";
    let doubt = |tapes: &str| {
        let mut r = r.clone();
        r.measured(&format!("{held}{tapes}"), &Made::default()).expect("a sheet");
        let b = r.built.clone().expect("built");
        let t = Text::new(&r.shape.design);
        let sheets = built::sheets(&r, &b, &t);
        let rows = sheets.iter().find(|s| s.id == "changes").expect("changes").rows.clone();
        let cross = rows.iter().find(|(c, _)| c[0] == "cross").expect("cross").0.clone();
        let told: Vec<String> = r.findings.iter().filter(|f| f.answer == "build").map(|f| f.what.clone()).collect();
        (cross.last().expect("a cell").clone(), told)
    };
    // One tape across the front, one across the rear: nothing else tells how wide it is.
    let one = "[tape]\nf = { from = \"front\", to = \"front~\", reads = 606 }\nr = { from = \"rear\", to = \"rear~\", reads = 606 }\n";
    let (rests, told) = doubt(one);
    assert!(rests.contains("which nothing checks"), "{rests}");
    assert!(told.iter().any(|f| f.contains("by readings that nothing checks: tape")), "{told:?}");
    // A second tape beside each agrees: nothing to say.
    let two = format!(
        "{one}f2 = {{ from = \"front\", to = \"front~\", reads = 606.5 }}\nr2 = {{ from = \"rear\", to = \"rear~\", reads = 605.5 }}\n"
    );
    let (rests, told) = doubt(&two);
    assert!(rests.is_empty() && !told.iter().any(|f| f.contains("nothing checks")), "{rests} {told:?}");
    // A second one that is 20 mm off: which of both is wrong nobody knows. The sum of squares is no second finding.
    let (rests, told) = doubt(&two.replace("606.5", "626").replace("605.5", "625"));
    assert_eq!(rests, "readings that contradict");
    assert!(
        told.iter()
            .any(|f| f.contains("rest on readings that contradict") || f.contains("rests on readings that contradict")),
        "{told:?}"
    );
    assert!(told.iter().all(|f| !f.contains("agree worse") && !f.contains("longer than designed")), "{told:?}");
}
