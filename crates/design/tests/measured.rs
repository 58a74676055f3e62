//! The measured sheet: what is read, what is left out and told, and what is written.

use design::measured::{Entry, Face, SpotOf, Tool, add, leave_out, read, remove, retake};
use design::{Along, Design, Problem, Units};

fn design(units: &str) -> Design {
    let text = format!(
        r#"
[design]
name = "sheet"
units = "{units}"

[section.r]
shape = "round"
od = "38 mm"
wall = "2.5 mm"
material = "S235"

[point]
front = [50, 12, 0]
rear = [-50, 12, 0]
top = [0, 10, 40]

[tube.rail]
section = "r"
path = ["front", "rear"]
mirror = true

[tube.hoop]
section = "r"
path = ["rear", "top"]
"#
    );
    design::read(&text).expect("a design").design
}

fn told(problems: &[Problem]) -> Vec<&str> {
    problems.iter().map(|p| p.message.as_str()).collect()
}

const SHEET: &str = r#"
# On the trestles, 14 degrees in the shop.
[sheet]
by = "two of us"
standing = "hoop"

[good_to]
tape = 0.8
angle = 0.1

[mark]
m1 = { on = "rail~", x = 20, face = "top" }

[level.laser]
over_datum = -350

[held.foot]
of = "front"
axes = "xz"
good_to = 0.2

[tape]
d1 = { from = "front", to = "rear~", reads = 102.5 }
d2 = { from = "m1", to = "top outside hoop", reads = "4 in", add = -10, good_to = 2 }
d3 = { from = "front", to = "rear", reads = 100, level = true, leave_out = true }

[height]
h1 = { of = "m1", reads = 402, over = "laser" }
h2 = { of = "top", reads = -1.5 }

[rise.r1]
from = "front"
to = "top"
reads = 40

[plumb]
p1 = { from = "front", to = "rear", along = "x", reads = -100.4 }

[string]
s1 = { of = "top", from = "front", to = "rear", reads = -2 }

[finder]
f1 = { from = "rear", to = "top", reads = 38.7 }

[bevel]
b1 = { at = "rear", one = "front", other = "top", reads = 141 }
"#;

#[test]
fn everything_is_read_in_its_units() {
    let d = design("mm");
    let (m, problems) = read(SHEET, &d).expect("a sheet");
    assert!(problems.is_empty(), "{:?}", told(&problems));
    assert_eq!((m.units, m.by.as_deref(), m.set_level), (Units::Mm, Some("two of us"), false));
    assert_eq!(m.standing.as_ref().map(|t| (t.id.0, t.twin)), Some((1, false)));
    assert_eq!(m.levels, [("laser".to_owned(), -0.35)]);
    assert_eq!((m.held[0].axes, m.held[0].good_to, m.held[0].of.id.0), ([true, false, true], Some(0.2e-3), 0));
    assert_eq!((m.marks[0].on.twin, m.marks[0].face), (true, Some(Face::Top)));
    assert_eq!(m.marks[0].along, Along::Plane { axis: 0, value: 0.02, pick: None });
    let of = |name: &str| m.readings.iter().find(|r| r.name == name).expect("a reading");
    let d1 = of("d1");
    assert_eq!((d1.tool, d1.reads, d1.good_to, d1.used), (Tool::Tape, 0.1025, 0.8e-3, true));
    assert!(matches!(&d1.at[1].of, SpotOf::Point(p) if p.id.0 == 1 && p.twin));
    let d2 = of("d2");
    assert_eq!((d2.reads, d2.add, d2.good_to), (0.1016, -0.010, 0.002));
    assert_eq!(d2.at[0].of, SpotOf::Mark(0));
    assert_eq!((d2.at[1].face, d2.at[1].tube.as_ref().map(|t| t.id.0)), (Some(Face::Outside), Some(1)));
    assert_eq!((of("d3").tool, of("d3").used), (Tool::LevelTape, false));
    assert_eq!((of("h1").over.as_deref(), of("h2").over.as_deref()), (Some("laser"), Some("level")));
    assert_eq!((of("h1").good_to, of("p1").tool, of("p1").good_to), (0.5e-3, Tool::PlumbX, 1e-3));
    assert_eq!((of("r1").tool, of("s1").at.len(), of("b1").at.len()), (Tool::Rise, 3, 3));
    assert!(
        (of("f1").reads - 38.7f64.to_radians()).abs() < 1e-15 && (of("f1").good_to - 0.1f64.to_radians()).abs() < 1e-15
    );
    // In the order of the sheet, whatever the tables are called.
    assert_eq!(m.readings[0].name, "d1");
    assert_eq!(m.readings[m.readings.len() - 1].name, "b1");
}

#[test]
fn the_sheet_may_be_in_other_units_than_the_design() {
    let d = design("in");
    let line = "[tape]\nd1 = { from = \"front\", to = \"rear\", reads = \"100 1/16\" }\n";
    let (m, _) = read(line, &d).expect("a sheet");
    assert_eq!(m.readings[0].reads, 0.0254 * 100.0625);
    let (m, _) =
        read(&format!("[sheet]\nunits = \"mm\"\n{}", line.replace("\"100 1/16\"", "2541.6")), &d).expect("a sheet");
    assert_eq!(m.readings[0].reads, 2.5416);
}

#[test]
fn what_is_wrong_is_left_out_and_told_and_all_else_is_read() {
    let d = design("mm");
    let text = r#"
[sheet]
standing = "hop"
[tape]
good = { from = "front", to = "rear", reads = 100 }
nobody = { from = "front", to = "reer", reads = 100 }
unread = { from = "front", to = "rear" }
under = { from = "front", to = "rear", reads = -3 }
face = { from = "front outsid", to = "rear", reads = 100 }
words = { from = "front top rail now", to = "rear", reads = 100 }
tube = { from = "front top spar", to = "rear", reads = 100 }
twin = { from = "front top hoop~", to = "rear", reads = 100 }
[plumb]
which = { from = "front", to = "rear", reads = 100 }
[finder]
steep = { from = "front", to = "rear", reads = 270 }
[mark]
front = { on = "rail", x = 0 }
where = { on = "rail" }
[held]
it = { of = "front top" }
[tapes]
d1 = { from = "front", to = "rear", reads = 100 }
"#;
    let (m, problems) = read(text, &d).expect("a sheet");
    assert_eq!(m.readings.iter().map(|r| r.name.as_str()).collect::<Vec<_>>(), ["good"]);
    assert!(m.marks.is_empty() && m.held.is_empty() && m.standing.is_none());
    let all = told(&problems).join("\n");
    for (what, help) in [
        ("names tube `hop`, which is not there", "did you mean `hoop`?"),
        ("`to` of tape `nobody` names `reer`, which is not there", "did you mean `rear`?"),
        ("tape `unread` has no `reads`", "What the tape reads"),
        ("`reads` of tape `under` is -3 mm", ""),
        ("`from` of tape `face` has `outsid` after the point", "did you mean `outside`?"),
        ("`from` of tape `words` has too many words", "write point, face and tube"),
        ("`from` of tape `tube` names tube `spar`", ""),
        ("`from` of tape `twin` names tube `hoop~`", "`hoop` is not mirrored"),
        ("plumb `which` has no `along`", ""),
        ("`reads` of finder `steep` is 270°", ""),
        ("mark `front` has the name of a point", ""),
        ("mark `where` does not say where on the tube it is", ""),
        ("held `it` must name a point of the design", "name the point alone"),
        ("the measured sheet has no table `tapes`", "did you mean `tape`?"),
    ] {
        let found = problems.iter().find(|p| p.message.contains(what));
        let found = found.unwrap_or_else(|| panic!("{what}\nis not among\n{all}"));
        let lower = found.help.clone().unwrap_or_default().to_lowercase();
        assert!(lower.contains(&help.to_lowercase()), "{what}: {lower}");
        assert!(found.span.is_some());
    }
    assert_eq!(problems.len(), 14, "{all}");
    // Broken syntax alone leaves nothing to read.
    assert!(read("[tape\nd1 = 3", &d).is_err());
}

#[test]
fn no_text_makes_it_panic() {
    let d = design("mm");
    for cut in 0..SHEET.len() {
        if SHEET.is_char_boundary(cut) {
            let _ = read(&SHEET[..cut], &d);
            let _ = read(&SHEET[cut..], &d);
        }
    }
    for odd in [
        "tape = 3",
        "[[tape]]\nfrom = 1",
        "[tape]\nd = 3",
        "[tape]\nd = { from = 3, to = [], reads = \"x\" }",
        "sheet = []",
        "[good_to]\ntape = nan",
    ] {
        let _ = read(odd, &d);
    }
}

fn entry() -> Entry {
    Entry {
        name: None,
        tool: Tool::Tape,
        at: vec!["front".into(), "rear~ inside".into()],
        over: None,
        reads: 0.1033,
        add: 0.0,
        good_to: None,
        remark: Some("from a phone".into()),
    }
}

#[test]
fn a_reading_is_added_and_nothing_else_is_touched() {
    let d = design("mm");
    let (text, name) = add(SHEET, &d, &entry()).expect("added");
    assert_eq!(name, "t4");
    let line = "t4 = { from = \"front\", to = \"rear~ inside\", reads = 103.3 } # from a phone\n";
    assert!(text.contains(line), "{text}");
    assert_eq!(text.replace(line, ""), SHEET);
    // Twice under one name is one reading: a phone may send it again.
    let again = Entry { name: Some("t4".into()), reads: 0.104, ..entry() };
    let (text, _) = add(&text, &d, &again).expect("added");
    assert_eq!(text.matches("t4").count(), 1);
    assert!(text.contains("reads = 104 "));
    let text = remove(&text, "tape", "t4").expect("a sheet").expect("it was there");
    assert_eq!(text, SHEET);
    assert_eq!(remove(&text, "tape", "t4"), Ok(None));
    // An empty sheet gets its table; an angle its degrees.
    let finder = Entry {
        tool: Tool::Finder,
        reads: 0.5f64.to_radians(),
        good_to: Some(1f64.to_radians()),
        remark: None,
        ..entry()
    };
    let (text, name) = add("# new\n", &d, &finder).expect("added");
    let (m, problems) = read(&text, &d).expect("a sheet");
    assert!(problems.is_empty() && text.starts_with("# new\n"), "{text}");
    assert_eq!((name.as_str(), m.readings[0].tool), ("f1", Tool::Finder));
    assert!((m.readings[0].reads - 0.5f64.to_radians()).abs() < 1e-15);
    for tool in [Tool::LevelTape, Tool::Height, Tool::Rise, Tool::PlumbX, Tool::PlumbY, Tool::String, Tool::Bevel] {
        let at = match tool {
            Tool::Height => vec!["top".to_owned()],
            Tool::String | Tool::Bevel => ["top", "front", "rear"].map(str::to_owned).to_vec(),
            _ => entry().at,
        };
        let (text, name) =
            add(SHEET, &d, &Entry { tool, at, over: (tool == Tool::Height).then(|| "laser".into()), ..entry() })
                .expect("added");
        let (m, _) = read(&text, &d).expect("a sheet");
        let got = m.readings.iter().find(|r| r.name == name && r.tool == tool);
        assert!(got.is_some(), "{tool:?} {text}");
    }
}

#[test]
fn a_reading_is_taken_again_or_left_out_and_all_else_of_its_line_stays() {
    let d = design("mm");
    let text = "[tape]\nt1 = { reads = 100, from = \"front\", to = \"rear\", add = 2 } # hooked on the weld\nt2 = { from = \"front\", to = \"rear~\", reads = \"4 in\" }\n[rise.r1]\nfrom = \"front\" # the left one\nto = \"top\"\nreads = 400.5 # in the morning\n";
    let again = |name: &str, tool, reads| Entry { name: Some(name.into()), tool, reads, ..entry() };
    let once = retake(text, &d, &again("t1", Tool::Tape, 0.1015)).expect("a sheet").expect("it is there");
    assert_eq!(
        once,
        text.replace("reads = 100,", "reads = 101.5,")
            .replace("# hooked on the weld", "# hooked on the weld; from a phone")
    );
    assert_eq!(retake(&once, &d, &again("t1", Tool::Tape, 0.1015)).expect("a sheet").expect("it is there"), once);
    let rise = retake(text, &d, &again("r1", Tool::Rise, -0.4)).expect("a sheet").expect("it is there");
    assert_eq!(rise, text.replace("reads = 400.5", "reads = -400"));
    assert_eq!(retake(text, &d, &again("t3", Tool::Tape, 0.1)), Ok(None));
    assert!(retake(text, &d, &again("t1", Tool::Tape, f64::NAN)).is_err());
    assert!(retake(text, &d, &again("t1", Tool::Tape, -0.1)).is_err());
    for (table, name) in [("tape", "t1"), ("tape", "t2"), ("rise", "r1")] {
        let out = leave_out(text, table, name, true).expect("a sheet").expect("it is there");
        let (m, problems) = read(&out, &d).expect("a sheet");
        assert!(problems.is_empty(), "{out}");
        assert_eq!(m.readings.iter().filter(|r| !r.used).map(|r| r.name.as_str()).collect::<Vec<_>>(), [name]);
        assert_eq!(leave_out(&out, table, name, true).expect("a sheet").as_ref(), Some(&out));
        assert_eq!(leave_out(&out, table, name, false).expect("a sheet").as_deref(), Some(text), "{out}");
    }
    assert_eq!(leave_out(text, "tape", "t9", true), Ok(None));
    assert_eq!(leave_out(text, "sheet", "by", true), Ok(None));
    assert!(leave_out("[tape", "tape", "t1", true).is_err());
}

#[test]
fn a_reading_that_says_nothing_is_refused_in_words() {
    let d = design("mm");
    let bad = Entry { at: vec!["front".into(), "reer".into()], ..entry() };
    let why = add(SHEET, &d, &bad).expect_err("refused");
    assert!(why[0].message.contains("names `reer`") && why[0].help.as_deref() == Some("did you mean `rear`?"));
    assert!(add(SHEET, &d, &Entry { at: vec!["front".into()], ..entry() }).is_err());
    assert!(add(SHEET, &d, &Entry { reads: f64::NAN, ..entry() }).is_err());
    assert!(add(SHEET, &d, &Entry { reads: -1.0, ..entry() }).is_err());
    // What can't be read can't be added to.
    assert!(add("[tape", &d, &entry()).is_err());
}

#[test]
fn the_page_on_the_sheet_names_every_table_and_key() {
    let page = include_str!("../../../docs/measured-sheet.md");
    for top in design::measured::keys::TOPS {
        assert!(page.contains(&format!("`[{}", top.name)), "[{}] is missing", top.name);
        for key in top.table.keys {
            assert!(
                page.contains(&format!("`{}`", key.name)) || page.contains(&format!("`{} = ", key.name)),
                "{} of [{}] is missing",
                key.name,
                top.name
            );
        }
    }
    for face in design::measured::keys::FACES {
        assert!(page.contains(&format!("`{face}`")), "{face}");
    }
}

#[test]
fn a_line_that_is_not_filled_in_yet_is_left_out_alone() {
    let d = design("mm");
    let text = "[tape]\nd1 = { from = \"front\", to = \"rear\", reads =  }\nd2 = { from = \"front\", to = \"top\", reads = 64 }\n\
                # d3 = { from = \"rear\", to = \"top\", reads =  }\n[rise.r1]\nfrom = \"front\"\nto = \"top\"\nreads = # later\n";
    let (m, problems) = read(text, &d).expect("a sheet");
    assert_eq!(m.readings.iter().map(|r| r.name.as_str()).collect::<Vec<_>>(), ["d2"]);
    assert_eq!(&*m.source, text);
    assert_eq!(told(&problems), ["`reads` of tape `d1` has no figure yet", "`reads` of rise `r1` has no figure yet"]);
    let at = problems[0].span.clone().expect("a place");
    assert_eq!(text[..at.start].matches('\n').count(), 1, "on its own line");
    // What is wrong otherwise is told as before.
    assert!(read("[tape]\nd1 = { reads = } }\n", &d).is_err());
}

#[test]
fn a_reading_whose_uncertainty_can_not_be_read_is_left_out() {
    let d = design("mm");
    let line = |more: &str| format!("[tape]\nd1 = {{ from = \"front\", to = \"rear\", reads = 100, {more} }}\n");
    for more in ["good_to = 0", "add = \"much\""] {
        let (m, problems) = read(&line(more), &d).expect("a sheet");
        assert!(m.readings.is_empty() && problems.len() == 1, "{more}: {:?}", told(&problems));
    }
    assert_eq!(read(&line("good_to = 2"), &d).expect("a sheet").0.readings[0].good_to, 2e-3);
}
