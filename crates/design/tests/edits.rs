//! Edits change what they say and nothing else: comments, order, units and fractions stay.

mod common;

use common::{FULL, read_valid, without_spans};
use design::*;
use proptest::prelude::*;

fn inch(x: f64) -> f64 {
    x * 254.0 / 10_000.0
}

fn s(text: &str) -> String {
    text.to_owned()
}

/// Makes an edit that must be possible.
fn edit(text: &str, edit: Edit) -> String {
    let mut document = Document::open(text).unwrap();
    match document.apply(&edit) {
        Ok(text) => text.to_owned(),
        Err(refusal) => panic!("{edit:?}\n{}", render(&refusal.problems, "text", &refusal.text)),
    }
}

/// Makes an edit that must be refused, and gives the words.
fn refused(text: &str, edit: Edit) -> String {
    let mut document = Document::open(text).unwrap();
    let refusal = document.apply(&edit).unwrap_err();
    assert_eq!(document.text(), text);
    render(&refusal.problems, "text", &refusal.text)
}

/// Lines of `a` that have no partner in `b`, when as many as possible have one in order; and the reverse.
fn difference<'t>(a: &'t str, b: &'t str) -> (Vec<&'t str>, Vec<&'t str>) {
    let (a, b): (Vec<&str>, Vec<&str>) = (a.lines().collect(), b.lines().collect());
    let mut longest = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for i in (0..a.len()).rev() {
        for j in (0..b.len()).rev() {
            longest[i][j] = match a[i] == b[j] {
                true => longest[i + 1][j + 1] + 1,
                false => longest[i + 1][j].max(longest[i][j + 1]),
            };
        }
    }
    let (mut i, mut j, mut gone, mut new) = (0, 0, vec![], vec![]);
    while i < a.len() || j < b.len() {
        if i < a.len() && j < b.len() && a[i] == b[j] {
            (i, j) = (i + 1, j + 1);
        } else if j == b.len() || (i < a.len() && longest[i + 1][j] >= longest[i][j + 1]) {
            gone.push(a[i]);
            i += 1;
        } else {
            new.push(b[j]);
            j += 1;
        }
    }
    (gone, new)
}

/// Asserts that these lines went and came, in this order, and that all others are as they were.
fn assert_lines(before: &str, after: &str, gone: &[&str], new: &[&str]) {
    let found = difference(before, after);
    assert_eq!((&found.0[..], &found.1[..]), (gone, new), "{after}");
}

fn set(table: &str, name: Option<&str>, key: &[&str], value: Setting) -> Edit {
    Edit::SetKey { table: s(table), name: name.map(s), key: key.iter().map(|k| s(k)).collect(), value }
}

fn unset(table: &str, name: Option<&str>, key: &[&str]) -> Edit {
    Edit::RemoveKey { table: s(table), name: name.map(s), key: key.iter().map(|k| s(k)).collect() }
}

#[test]
fn a_point_is_moved_in_the_units_and_fractions_of_the_file() {
    let at = [inch(-14.0), inch(11.75), inch(33.0)];
    let after = edit(FULL, Edit::SetPoint { point: s("shoulder"), at });
    assert_lines(FULL, &after, &["shoulder = [-14, \"11 1/2\", 32]"], &["shoulder = [-14, \"11 3/4\", 33]"]);

    // A fraction that is none any more becomes a decimal, and blanks and comments stay.
    let after = edit(FULL, Edit::SetPoint { point: s("top"), at: [inch(-14.6), inch(6.75), inch(42.0)] });
    assert_lines(
        FULL,
        &after,
        &["    \"-14 5/8\",                          # back"],
        &["    -14.6,                          # back"],
    );
    let after = edit(FULL, Edit::SetPoint { point: s("rail_front"), at: [inch(44.0), inch(12.0), 0.0] });
    assert_lines(
        FULL,
        &after,
        &["rail_front = [ 43, 12, 0 ]              # front"],
        &["rail_front = [ 44, 12, 0 ]              # front"],
    );
}

#[test]
fn a_twin_moves_its_original() {
    let at = [inch(-14.0), inch(-11.75), inch(32.0)];
    let after = edit(FULL, Edit::SetPoint { point: s("shoulder~"), at });
    assert_lines(FULL, &after, &["shoulder = [-14, \"11 1/2\", 32]"], &["shoulder = [-14, \"11 3/4\", 32]"]);
}

#[test]
fn a_point_is_put_on_a_tube_in_the_units_of_the_file() {
    let on = |point: &str, tube: &str, length| Edit::PlaceOnTube { point: s(point), tube: s(tube), length };
    let after = edit(FULL, on("top", "rail", inch(10.5)));
    assert!(after.contains("{ on = \"rail\", at = \"10 1/2\" }"), "{after}");
    // A twin on a twin is its original on the original; on the other side it is on the twin.
    let after = edit(FULL, on("seat~", "rail~", inch(10.0)));
    assert_lines(
        FULL,
        &after,
        &["seat = { from = \"stay_foot~\", by = [1, 2, 3] }"],
        &["seat = { on = \"rail\", at = 10 }"],
    );
    let after = edit(FULL, on("seat", "rail~", inch(10.0)));
    assert!(after.contains("seat = { on = \"rail~\", at = 10 }"), "{after}");
    // A tube in the middle has no twin; a tube that runs through the point can't carry it.
    assert!(refused(FULL, on("seat~", "hoop", 0.1)).contains("mirror image"));
    assert!(refused(FULL, on("shoulder", "hoop", 0.1)).contains("shoulder"));
    assert!(refused(FULL, on("seat", "no_such", 0.1)).contains("no_such"));
    assert!(refused(FULL, on("seat", "rail", f64::NAN)).contains("finite"));
}

#[test]
fn a_point_on_a_tube_can_be_pinned() {
    let after = edit(FULL, Edit::SetPoint { point: s("seat"), at: [inch(1.5), 0.25, 0.0] });
    assert_lines(
        FULL,
        &after,
        &["seat = { from = \"stay_foot~\", by = [1, 2, 3] }"],
        &["seat = [\"1 1/2\", 9.84251968503937, 0]"],
    );
}

#[test]
fn points_come_and_go() {
    let after = edit(FULL, Edit::AddPoint { point: s("new"), at: [inch(0.5), inch(2.0), inch(0.1)] });
    assert_lines(FULL, &after, &[], &["new = [\"1/2\", 2, 0.1]"]);
    let back = edit(&after, Edit::RemovePoint { point: s("new") });
    assert_eq!(back, FULL);

    // Out of a path, with the radius of its bend.
    let after = edit(FULL, Edit::RemovePoint { point: s("shoulder") });
    assert_lines(
        FULL,
        &after,
        &[
            "shoulder = [-14, \"11 1/2\", 32]",
            "path = [\"foot\", \"shoulder\", \"top\", \"top~\", \"shoulder~\", \"foot~\"]",
        ],
        &["path = [\"foot\", \"top\", \"top~\", \"foot~\"]"],
    );

    let words = refused(FULL, Edit::RemovePoint { point: s("stay_foot") });
    assert!(words.contains("tube `stay` would have no length"), "{words}");
    assert!(words.contains("at = \"stay_foot\""), "{words}");
    let words = refused(FULL, Edit::RemovePoint { point: s("sholder") });
    assert!(words.contains("did you mean `shoulder`?"), "{words}");
    let words = refused(FULL, Edit::AddPoint { point: s("top"), at: [0.0; 3] });
    assert!(words.contains("already"), "{words}");
    let words = refused(FULL, Edit::AddPoint { point: s("a b"), at: [0.0; 3] });
    assert!(words.contains("can't be the name"), "{words}");
    let words = refused(FULL, Edit::AddPoint { point: s("far"), at: [1e9, 0.0, 0.0] });
    assert!(words.contains("must be at most"), "{words}");
    let words = refused(FULL, Edit::AddPoint { point: s("nan"), at: [f64::NAN, 0.0, 0.0] });
    assert!(words.contains("finite"), "{words}");
}

#[test]
fn a_bend_goes_with_its_point() {
    let text = FULL
        .replace("start = { cut = \"plane\", plane = { point = \"brace_a\"", "start = { plane = { point = \"seat\"");
    let text =
        text.replace("outline = [\"brace_a\", \"brace_b\", \"brace_c\"]", "outline = [\"top\", \"seat\", \"mid\"]");
    let text = text.replace("path = [\"brace_a\", \"brace_c\"]", "path = [\"seat\", \"top\"]");
    let text = text.replace("edge = [\"brace_a\", \"brace_b\", \"brace_c\"]", "edge = [\"top\", \"seat\", \"mid\"]");
    let text = text.replace("hands = \"brace_b\"", "hands = \"seat\"");
    let after = edit(&text, Edit::RemovePoint { point: s("brace_a") });
    assert!(after.contains("path = [\"brace_b\", \"brace_c\", \"mid\"]\nbend_radius = [\"5 1/2\"]\n"), "{after}");
    let after = edit(&after, Edit::RemovePoint { point: s("brace_c") });
    assert!(after.contains("path = [\"brace_b\", \"mid\"]\nstart"), "{after}");
}

#[test]
fn points_are_renamed_everywhere() {
    let after = edit(FULL, Edit::RenamePoint { point: s("stay_foot"), to: s("toe") });
    assert!(!after.contains("stay_foot"), "{after}");
    assert_eq!(after.matches("toe").count(), FULL.matches("stay_foot").count());
    assert_eq!(edit(&after, Edit::RenamePoint { point: s("toe"), to: s("stay_foot") }), FULL);
    let mut expected = without_spans(&read_valid(FULL));
    expected.points.iter_mut().filter(|p| p.name == "stay_foot").for_each(|p| p.name = s("toe"));
    assert_eq!(without_spans(&read_valid(&after)), expected);
    let words = refused(FULL, Edit::RenamePoint { point: s("stay_foot"), to: s("top") });
    assert!(words.contains("there is a point `top` already"), "{words}");
}

#[test]
fn tubes_are_renamed_everywhere() {
    let after = edit(FULL, Edit::RenameTube { tube: s("rail"), to: s("sill") });
    assert_lines(
        FULL,
        &after,
        &[
            "datum = { under = \"rail\" }",
            "foot = { on = \"rail\", x = -12 }",
            "stay_foot = { on = \"rail\", at = -3, by = [0, 0, \"1 1/2\"] }",
            "mid = { on = \"rail~\", part = 0.5 }",
            "[tube.rail]",
            "to = [\"rail~\"]",
            "end = { to = [ \"hoop\", \"rail\" ] }",
            "end = { cut = \"mitre\", to = [\"rail~\"] }",
            "until = \"rail\"",
            "    { tube = \"stay\", end = \"end\", on = \"rail\" },",
            "    { tube = \"rail\", at = -12, flat = { plate = \"pad~\" } },",
            "    { under = \"rail\", x = 10, height = 18 },",
            "    { under = \"rail~\", x = 10, height = 18 },",
            "    { under = \"rail\", x = -10, height = 18.125 },",
            "    { under = \"rail~\", x = -10, top = 20.125, shim = 0.125, foot = 0.25, floor = -0.0625, section = \"rail\" },",
            "from = { tube = \"rail\" }",
            "spread = [{ along = \"rail~\", force = [0, 100.5, 0] }]",
        ],
        &[
            "datum = { under = \"sill\" }",
            "foot = { on = \"sill\", x = -12 }",
            "stay_foot = { on = \"sill\", at = -3, by = [0, 0, \"1 1/2\"] }",
            "mid = { on = \"sill~\", part = 0.5 }",
            "[tube.sill]",
            "to = [\"sill~\"]",
            "end = { to = [ \"hoop\", \"sill\" ] }",
            "end = { cut = \"mitre\", to = [\"sill~\"] }",
            "until = \"sill\"",
            "    { tube = \"stay\", end = \"end\", on = \"sill\" },",
            "    { tube = \"sill\", at = -12, flat = { plate = \"pad~\" } },",
            "    { under = \"sill\", x = 10, height = 18 },",
            "    { under = \"sill~\", x = 10, height = 18 },",
            "    { under = \"sill\", x = -10, height = 18.125 },",
            "    { under = \"sill~\", x = -10, top = 20.125, shim = 0.125, foot = 0.25, floor = -0.0625, section = \"rail\" },",
            "from = { tube = \"sill\" }",
            "spread = [{ along = \"sill~\", force = [0, 100.5, 0] }]",
        ],
    );
    // A tube whose ends have headers of their own.
    let after = edit(FULL, Edit::RenameTube { tube: s("hoop"), to: s("arch") });
    assert!(after.contains("[tube.arch]\n") && after.contains("[tube.arch.start]\n"), "{after}");
    assert_eq!(edit(&after, Edit::RenameTube { tube: s("arch"), to: s("hoop") }), FULL);
}

#[test]
fn tubes_come_and_go() {
    let add = |before: Option<&str>| Edit::AddTube {
        tube: s("new"),
        section: s("stay"),
        path: vec![s("brace_a"), s("brace_b")],
        before: before.map(s),
    };
    let new = ["[tube.new]", "section = \"stay\"", "path = [\"brace_a\", \"brace_b\"]", ""];
    let after = edit(FULL, add(None));
    assert_lines(FULL, &after, &[], &new);
    let names: Vec<String> = read_valid(&after).tubes.into_iter().map(|t| t.name).collect();
    assert_eq!(names, ["rail", "hoop", "stay", "brace", "strut", "new"]);
    assert_eq!(edit(&after, Edit::RemoveTube { tube: s("new") }), FULL);
    let after = edit(FULL, add(Some("stay")));
    assert_lines(FULL, &after, &[], &new);
    let names: Vec<String> = read_valid(&after).tubes.into_iter().map(|t| t.name).collect();
    assert_eq!(names, ["rail", "hoop", "new", "stay", "brace", "strut"]);
    assert_eq!(edit(&after, Edit::RemoveTube { tube: s("new") }), FULL);

    let words = refused(FULL, Edit::RemoveTube { tube: s("rail") });
    assert!(words.contains("datum = { under = \"rail\" }") && words.contains("foot = { on = \"rail\""), "{words}");

    // Out of the ends that are cut to it.
    let text = FULL.replace("stay_top = { on = \"hoop\", z = 36, pick = 1 }", "stay_top = [-20, 10, 36]");
    let after = edit(&text, Edit::RemoveTube { tube: s("hoop") });
    assert!(after.contains("end = { to = [ \"rail\" ] }"), "{after}");
    assert!(!after.contains("tube.hoop") && !after.contains("then the hoop"), "{after}");
    let bad = Edit::AddTube { tube: s("new"), section: s("stya"), path: vec![s("top"), s("foot")], before: None };
    assert!(refused(FULL, bad).contains("did you mean `stay`?"));
}

#[test]
fn the_first_tube_and_the_first_point_find_a_place() {
    let text =
        "[design]\nname = \"x\"\n\n[section.a]\nsize = \"38 x 2.5 mm\"\nmaterial = \"E355\"\n\n[limits]\ngap = 1\n";
    let after = edit(text, Edit::AddPoint { point: s("a"), at: [0.0, 0.0, 1.0] });
    let after = edit(&after, Edit::AddPoint { point: s("b"), at: [0.0, 0.5, 1.0] });
    let tube = Edit::AddTube { tube: s("t"), section: s("a"), path: vec![s("a"), s("b")], before: None };
    let after = edit(&after, tube);
    let ends = "\n[point]\na = [0, 0, 1000]\nb = [0, 500, 1000]\n\n[tube.t]\nsection = \"a\"\npath = [\"a\", \"b\"]\n";
    assert_eq!(after, format!("{text}{ends}"));
}

#[test]
fn tubes_move_in_the_fitting_order() {
    let order = |text: &str| -> Vec<String> { read_valid(text).tubes.into_iter().map(|t| t.name).collect() };
    let to = |tube: &str, before: Option<&str>| Edit::MoveTube { tube: s(tube), before: before.map(s) };
    let after = edit(FULL, to("strut", Some("hoop")));
    assert_eq!(order(&after), ["rail", "strut", "hoop", "stay", "brace"]);
    let sorted = |text: &str| {
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        lines.sort();
        lines
    };
    assert_eq!(sorted(&after), sorted(FULL));
    let after = edit(FULL, to("hoop", None));
    assert_eq!(order(&after), ["rail", "stay", "brace", "strut", "hoop"]);
    // Its comment and the tables of its ends went along.
    let tail = &after[after.find("# then the hoop").unwrap()..];
    assert!(tail.starts_with("# then the hoop\n[tube.hoop]\n") && tail.contains("[tube.hoop.end]"), "{after}");
    assert!(after.find("[tube.hoop.end]").unwrap() < after.find("[plate.pad]").unwrap());
    assert_eq!(edit(&after, to("hoop", Some("stay"))), FULL);
    assert_eq!(edit(FULL, to("hoop", Some("hoop"))), FULL);
    assert!(refused(FULL, to("hoop", Some("rial"))).contains("did you mean `rail`?"));
}

#[test]
fn tubes_written_in_lines_move_too() {
    let text = "[design]\nname = \"x\"\n[section]\na = { size = \"38 x 2.5 mm\", material = \"E355\" }\n\
                [point]\np = [0, 0, 0]\nq = [0, 0, 1]\nr = [0, 1, 1]\n\
                [tube]\none = { section = \"a\", path = [\"p\", \"q\"] } # first\n\
                two = { section = \"a\", path = [\"q\", \"r\"] }\n";
    let after = edit(text, Edit::MoveTube { tube: s("two"), before: Some(s("one")) });
    let (head, one, two) = {
        let lines: Vec<&str> = text.lines().collect();
        (lines[..9].join("\n"), lines[9], lines[10])
    };
    assert_eq!(after, format!("{head}\n{two}\n{one}\n"));
    let add = Edit::AddTube { tube: s("three"), section: s("a"), path: vec![s("p"), s("r")], before: Some(s("two")) };
    let after = edit(text, add);
    assert_eq!(after, format!("{head}\n{one}\nthree = {{ section = \"a\", path = [\"p\", \"r\"] }}\n{two}\n"));
    let after = edit(text, Edit::SetProvisional { tube: s("two"), provisional: true });
    assert!(after.ends_with("two = { section = \"a\", path = [\"q\", \"r\"], provisional = true }\n"), "{after}");
    assert_eq!(edit(&after, Edit::SetProvisional { tube: s("two"), provisional: false }), text);
    let mixed = format!("{text}[tube.three]\nsection = \"a\"\npath = [\"p\", \"r\"]\n");
    let words = refused(&mixed, Edit::MoveTube { tube: s("three"), before: Some(s("one")) });
    assert!(words.contains("written in two ways"), "{words}");
}

#[test]
fn a_tube_becomes_provisional_and_is_decided() {
    let after = edit(FULL, Edit::SetProvisional { tube: s("strut"), provisional: true });
    assert_lines(FULL, &after, &[], &["provisional = true"]);
    assert_eq!(edit(&after, Edit::SetProvisional { tube: s("strut"), provisional: false }), FULL);
    let after = edit(FULL, Edit::SetProvisional { tube: s("stay~"), provisional: false });
    assert_lines(FULL, &after, &["provisional = true"], &[]);
    let words = refused(FULL, Edit::SetProvisional { tube: s("brace"), provisional: true });
    assert!(words.contains("both provisional and temporary"), "{words}");
}

#[test]
fn keys_are_set_where_and_as_they_stand() {
    let one = |e: Edit, gone: &str, new: &str| assert_lines(FULL, &edit(FULL, e), &[gone], &[new]);
    let n = Setting::Number;
    one(set("section", Some("hoop"), &["wall"], n(0.0025)), "wall = \"2.4 mm\"", "wall = \"2.5 mm\"");
    one(set("material", Some("own"), &["youngs"], n(200e9)), "youngs = \"205 GPa\"", "youngs = \"200 GPa\"");
    one(
        set("material", Some("own"), &["tensile"], n(500e6)),
        "tensile = 490                           # MPa",
        "tensile = 500                           # MPa",
    );
    one(set("rack", None, &["kerf"], n(inch(0.125))), "kerf = \"3/32\"", "kerf = \"1/8\"");
    one(set("rack", None, &["trim"], n(inch(0.5))), "trim = 0.25", "trim = 0.5");
    one(set("mass", Some("engine"), &["kg"], n(45.359237)), "kg = \"180 lb\"", "kg = \"100 lb\"");
    one(set("limits", None, &["round_angle"], n(0.5f64.to_radians())), "round_angle = 0.25", "round_angle = 0.5");
    one(
        set("design", None, &["name"], Setting::Text(s("Broom"))),
        "name = \"Gorse\"                          # the name",
        "name = \"Broom\"                          # the name",
    );
    one(set("notcher", None, &["square_reads"], Setting::Whole(0)), "square_reads = 90", "square_reads = 0");
    one(
        set("tube", Some("brace"), &["bend_radius"], Setting::Numbers(vec![inch(5.0), inch(5.25)])),
        "bend_radius = [5, \"5 1/2\"]",
        "bend_radius = [5, \"5 1/4\"]",
    );
    one(
        set("tube", Some("strut"), &["path"], Setting::Names(vec![s("brace_a"), s("mid")])),
        "path = [\"brace_a\", \"brace_c\"]",
        "path = [\"brace_a\", \"mid\"]",
    );
    one(
        set("tube", Some("stay"), &["start", "long"], n(inch(0.5))),
        "start = { cut = \"plane\", plane = { plate = \"pad~\" }, long = 0.25 }",
        "start = { cut = \"plane\", plane = { plate = \"pad~\" }, long = 0.5 }",
    );
    one(
        set("tube", Some("strut"), &["start", "plane", "z"], n(inch(10.5))),
        "start = { cut = \"plane\", plane = { z = 10 } }",
        "start = { cut = \"plane\", plane = { z = 10.5 } }",
    );
    one(
        set("tube", Some("stay"), &["end", "gap"], n(inch(0.0625))),
        "end = { to = [ \"hoop\", \"rail\" ] }",
        "end = { to = [ \"hoop\", \"rail\" ], gap = \"1/16\" }",
    );
    one(set("tube", Some("hoop"), &["start", "gap"], n(0.001)), "gap = \"1/64\"", "gap = 0.03937007874015748");
    one(
        unset("tube", Some("stay"), &["start", "long"]),
        "start = { cut = \"plane\", plane = { plate = \"pad~\" }, long = 0.25 }",
        "start = { cut = \"plane\", plane = { plate = \"pad~\" } }",
    );
    one(
        set("point", Some("foot"), &["x"], n(inch(-11.0))),
        "foot = { on = \"rail\", x = -12 }",
        "foot = { on = \"rail\", x = -11 }",
    );

    assert_lines(
        FULL,
        &edit(FULL, set("tube", Some("strut"), &["note"], Setting::Text(s("last")))),
        &[],
        &["note = \"last\""],
    );
    assert_lines(FULL, &edit(FULL, unset("tube", Some("stay"), &["role"])), &["role = \"stay\""], &[]);
    assert_eq!(edit(FULL, unset("tube", Some("strut"), &["role"])), FULL);
    // What is set to what it is stays as it is written.
    assert_eq!(edit(FULL, set("occupant", Some("driver"), &["stature"], n(1.778))), FULL);

    let words = refused(FULL, set("section", Some("hoop"), &["wall"], n(-1.0)));
    assert!(words.contains("must be more than 0"), "{words}");
    let words = refused(FULL, set("section", Some("hoop"), &["wal"], n(1.0)));
    assert!(words.contains("did you mean `wall`?"), "{words}");
    let words = refused(FULL, set("sections", Some("hoop"), &["wall"], n(1.0)));
    assert!(words.contains("did you mean `section`?"), "{words}");
    let words = refused(FULL, set("section", Some("hop"), &["wall"], n(1.0)));
    assert!(words.contains("did you mean `hoop`?"), "{words}");
    for wrong in [
        set("section", None, &["wall"], n(1.0)),
        set("design", Some("x"), &["name"], n(1.0)),
        set("design", None, &["name", "x"], n(1.0)),
        set("design", None, &[], n(1.0)),
        set("design", None, &["name"], n(1.0)),
        set("point", Some("top"), &["x"], n(1.0)),
        set("tube", Some("hoop"), &["mirror"], Setting::Whole(1)),
    ] {
        refused(FULL, wrong);
    }
}

#[test]
fn what_carries_and_loads_follows_its_points_and_tubes() {
    let after = edit(FULL, Edit::RenamePoint { point: s("rail_rear"), to: s("tail") });
    assert!(!after.contains("rail_rear"), "{after}");
    assert!(after.contains("at = [\"tail\", \"tail~\"]        # rubber"), "{after}");
    assert!(after.contains("{ at = \"tail\", along = \"\", turns = true },"), "{after}");
    assert!(after.contains("rear = [\"tail\", \"tail~\"] }"), "{after}");
    let after = edit(FULL, Edit::RenamePoint { point: s("foot"), to: s("toe") });
    assert!(after.contains("{ at = \"toe~\", force = [0, 150, -300] },"), "{after}");

    let words = refused(FULL, Edit::RemovePoint { point: s("rail_rear") });
    for line in ["at = [\"rail_rear\", \"rail_rear~\"]        # rubber", "along = \"\", turns = true", "rig = {"] {
        assert!(words.contains(line), "{words}");
    }
    let words = refused(FULL, Edit::RemoveTube { tube: s("rail") });
    assert!(words.contains("spread = [{ along = \"rail~\""), "{words}");
}

#[test]
fn loads_are_set_in_the_units_that_stand_there() {
    let one = |e: Edit, gone: &str, new: &str| assert_lines(FULL, &edit(FULL, e), &[gone], &[new]);
    let (n, all) = (Setting::Number, Setting::Numbers);
    let corner = |key: &str, value| set("load", Some("corner"), &[key], value);
    one(corner("g", all(vec![0.0, 1.0, -1.0])), "g = [0, 0.8, -1]", "g = [0, 1, -1]");
    one(corner("most", n(inch(1.25))), "most = \"1 1/2\"", "most = \"1 1/4\"");
    one(corner("use", n(0.5)), "use = 0.67", "use = 0.5");
    one(set("strength", None, &["drop"], n(0.4)), "drop = \"0.5 m\"", "drop = \"0.4 m\"");
    one(set("strength", None, &["mass"], n(453.59237)), "mass = \"1500 lb\"", "mass = \"1000 lb\"");
    one(set("strength", None, &["modes"], Setting::Whole(3)), "modes = 12", "modes = 3");
    one(
        set("strength", None, &["sets"], Setting::Names(vec![s("touring-cage")])),
        "sets = [\"work-machine\", \"student-frame\"]",
        "sets = [\"touring-cage\"]",
    );
    one(
        set("strength", None, &["rig", "rear"], Setting::Names(vec![s("mid"), s("mid~")])),
        "rig = { front = [\"rail_front\", \"rail_front~\"], rear = [\"rail_rear\", \"rail_rear~\"] }",
        "rig = { front = [\"rail_front\", \"rail_front~\"], rear = [\"mid\", \"mid~\"] }",
    );
    one(set("mount", Some("engine"), &["of"], Setting::Text(s("tank"))), "of = \"engine\"", "of = \"tank\"");
    let words = refused(FULL, set("mount", Some("engine"), &["of"], Setting::Text(s("tnak"))));
    assert!(words.contains("did you mean `tank`?"), "{words}");
    let words = refused(FULL, corner("moast", n(1.0)));
    assert!(words.contains("did you mean `most`?"), "{words}");
    let words = refused(FULL, set("strength", None, &["sets"], Setting::Names(vec![s("touring")])));
    assert!(words.contains("did you mean \"touring-cage\"?"), "{words}");
}

#[test]
fn a_table_that_is_not_there_is_made() {
    let text = "[design]\nname = \"x\"\n";
    let after = edit(text, set("limits", None, &["gap"], Setting::Number(0.001)));
    assert_eq!(after, "[design]\nname = \"x\"\n\n[limits]\ngap = 1\n");
    let after = edit(text, set("design", None, &["datum", "z"], Setting::Number(0.1)));
    assert_eq!(after, "[design]\nname = \"x\"\ndatum = { z = 100 }\n");
    assert_eq!(edit(text, unset("limits", None, &["gap"])), text);
}

#[test]
fn line_ends_of_another_system_stay() {
    let text = FULL.replace('\n', "\r\n");
    let after = edit(&text, Edit::SetPoint { point: s("shoulder"), at: [inch(-14.0), inch(11.5), inch(33.0)] });
    assert_eq!(after, text.replace("\"11 1/2\", 32]", "\"11 1/2\", 33]"));
    let after = edit(&text, Edit::RenameTube { tube: s("rail"), to: s("sill") });
    assert!(!after.replace("\r\n", "").contains('\n'));
}

#[test]
fn edits_travel_as_json() {
    let e = set("tube", Some("stay"), &["end", "gap"], Setting::Number(0.001));
    let json = serde_json::to_value(&e).unwrap();
    assert_eq!(json["edit"], "set_key");
    assert_eq!(json["value"]["number"], 0.001);
    assert_eq!(serde_json::from_value::<Edit>(json).unwrap(), e);
}

fn any_edit() -> impl Strategy<Value = Edit> {
    let point =
        prop::sample::select(vec!["rail_front", "foot", "shoulder", "top~", "stay_top", "seat", "brace_b", "new"]);
    let tube = prop::sample::select(vec!["rail", "hoop", "stay~", "brace", "strut", "new"]);
    let at = [-2.0f64..2.0, -2.0f64..2.0, -2.0f64..2.0];
    let before = prop::option::of(tube.clone());
    prop_oneof![
        (point.clone(), at.clone()).prop_map(|(p, at)| Edit::SetPoint { point: s(p), at }),
        (point.clone(), at).prop_map(|(p, at)| Edit::AddPoint { point: s(p), at }),
        point.clone().prop_map(|p| Edit::RemovePoint { point: s(p) }),
        (point.clone(), point).prop_map(|(p, to)| Edit::RenamePoint { point: s(p), to: s(to) }),
        (tube.clone(), before.clone()).prop_map(|(t, b)| Edit::MoveTube { tube: s(t), before: b.map(s) }),
        (tube.clone(), before).prop_map(|(t, b)| Edit::AddTube {
            tube: s(t),
            section: s("stay"),
            path: vec![s("brace_b"), s("top")],
            before: b.map(s),
        }),
        tube.clone().prop_map(|t| Edit::RemoveTube { tube: s(t) }),
        (tube.clone(), tube.clone()).prop_map(|(t, to)| Edit::RenameTube { tube: s(t), to: s(to) }),
        (tube.clone(), any::<bool>()).prop_map(|(t, p)| Edit::SetProvisional { tube: s(t), provisional: p }),
        (tube, -1.0f64..7.0).prop_map(|(t, roll)| set("tube", Some(t), &["roll"], Setting::Number(roll))),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn after_any_edits_the_document_is_valid(edits in prop::collection::vec(any_edit(), 1..12)) {
        let mut document = Document::open(FULL).unwrap();
        for e in &edits {
            let before = document.text().to_owned();
            match document.apply(e).map(str::to_owned) {
                Ok(text) => {
                    prop_assert_eq!(&read(&text).unwrap().design, document.design());
                    // Comments of the head and the foot are nobody's to lose.
                    prop_assert!(text.starts_with("# Everything") && text.ends_with("# the end\n"));
                }
                Err(refusal) => {
                    prop_assert!(!refusal.problems.is_empty());
                    prop_assert!(render(&refusal.problems, "text", &refusal.text).contains("error"));
                    prop_assert_eq!(document.text(), before);
                }
            }
        }
    }

    #[test]
    fn a_moved_point_is_where_it_was_put(x in -3.0f64..3.0, y in -3.0f64..3.0, z in -3.0f64..3.0) {
        // On the centre plane it would be its own twin, and the hoop that runs through both is refused.
        prop_assume!(y.abs() > 1e-3);
        let mut document = Document::open(FULL).unwrap();
        document.apply(&Edit::SetPoint { point: s("top"), at: [x, y, z] }).unwrap();
        let mut expected = without_spans(&read_valid(FULL));
        let top = expected.points.iter_mut().find(|p| p.name == "top").unwrap();
        top.placement = Placement::At(glam::DVec3::new(x, y, z));
        prop_assert_eq!(without_spans(document.design()), expected);
    }
}

#[test]
fn edits_that_belong_together_may_pass_through_what_can_not_be() {
    let length = |inches: f64| inches * 0.0254;
    let set =
        |tube: &str, key: &str, value| Edit::SetKey { table: s("tube"), name: Some(s(tube)), key: vec![s(key)], value };
    let path = vec![s("foot"), s("top"), s("brace_b")];
    let add = Edit::AddTube { tube: s("bent"), section: s("stay"), path, before: None };
    let radius = set("bent", "bend_radius", Setting::Number(length(4.0)));
    assert!(refused(FULL, add.clone()).contains("bend_radius"));

    let mut doc = Document::open(FULL).unwrap();
    doc.apply_all(&[add.clone(), radius.clone()]).unwrap();
    let bent = doc.design().tubes.iter().find(|t| t.name == "bent").unwrap();
    assert_eq!(bent.path.len(), 3);
    // All or none: without the radius, or with another kind of edit before it, nothing is changed.
    for wrong in [
        vec![add.clone()],
        vec![add.clone(), Edit::AddPoint { point: s("more"), at: [0.0, 0.0, 1.0] }, radius.clone()],
        vec![Edit::AddPoint { point: s("more"), at: [0.0, 0.0, 1.0] }, set("none", "mirror", Setting::Flag(true))],
    ] {
        let mut doc = Document::open(FULL).unwrap();
        assert!(doc.apply_all(&wrong).is_err());
        assert_eq!(doc.text(), FULL);
        assert!(doc.design().points.iter().all(|p| p.name != "more"));
    }
}

#[test]
fn a_curve_goes_with_its_points() {
    let text = edit(FULL, Edit::RenamePoint { point: s("top"), to: s("crown") });
    assert!(text.contains("[curve.roof]\npoints = [\"crown\", [10,"), "{text}");
    let words = refused(FULL, Edit::RemovePoint { point: s("seat") });
    assert!(words.contains("it is used") && words.contains("[20, -3, 38.25]"), "{words}");
}
