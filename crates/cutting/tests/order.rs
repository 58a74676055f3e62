//! Which tube gives way.

mod common;

use common::{cut, head, near, piece};

fn corner(extra: &str) -> String {
    format!(
        r#"{}
[point]
a = [0, 0, 0]
b = [600, 0, 0]
c = [600, 400, 0]
d = [600, 0, 500]
[tube.one]
section = "b"
path = ["a", "b"]
[tube.two]
section = "b"
path = ["b", "c"]
{extra}
"#,
        head(38.1, 38.1, 2.0)
    )
}

#[test]
fn two_ends_are_mitred_and_a_third_is_cut_to_both() {
    let (_, c) = cut(&corner("[tube.three]\nsection = \"b\"\npath = [\"b\", \"d\"]\n"));
    assert_eq!(piece(&c, "one").ends[1].kind, "mitre");
    assert_eq!(piece(&c, "one").ends[1].to, ["two"]);
    assert_eq!(piece(&c, "two").ends[0].to, ["one"]);
    let e = &piece(&c, "three").ends[0];
    assert_eq!((e.kind, e.to.len()), ("cope", 2));
    // Straight up from a mitred corner of equal tubes it stands on both as on one unbroken tube: deepest at the ridge
    // that each makes, where z = r.
    near(e.profile.long, 0.0, 1e-3);
    near(e.profile.short, -0.01905, 1e-9);
}

#[test]
fn what_passes_is_never_cut_there() {
    let text = format!(
        "{}\n[point]\na = [0, 0, 0]\nb = [600, 0, 0]\nm = {{ on = \"long\", part = 0.5 }}\nc = [300, 400, 0]\n[tube.long]\nsection = \"h\"\npath = [\"a\", \"b\"]\n[tube.short]\nsection = \"b\"\npath = [\"m\", \"c\"]\n",
        head(45.0, 38.1, 2.0)
    );
    let (_, c) = cut(&text);
    assert_eq!(piece(&c, "short").ends[0].kind, "cope");
    assert_eq!(piece(&c, "short").ends[0].to, ["long"]);
    near(piece(&c, "long").lengths.over_long, 0.6, 1e-12);
    // Listed first, the short one is still cut to the long one, and the order is remarked on.
    let (head_part, tubes) = text.split_once("[tube.long]").unwrap();
    let (long, short) = tubes.split_once("[tube.short]").unwrap();
    let swapped = format!("{head_part}[tube.short]{short}\n[tube.long]{long}");
    let (_, c) = cut(&swapped);
    assert_eq!(piece(&c, "short").ends[0].to, ["long"]);
    assert!(c.findings.iter().any(|f| f.what.contains("cut to long, which is fitted later")), "{:?}", c.findings);
}

#[test]
fn a_coped_corner_makes_the_other_run_past() {
    let text = corner("").replace("path = [\"b\", \"c\"]", "path = [\"b\", \"c\"]\nstart = { cut = \"cope\" }");
    let (_, c) = cut(&text);
    let (one, two) = (piece(&c, "one"), piece(&c, "two"));
    assert_eq!((one.ends[1].kind, two.ends[0].kind), ("square", "cope"));
    // At a right angle it must reach past the corner by the other's radius and a ledge of a millimetre.
    near(one.lengths.over_long, 0.6 + 0.01905 + 0.001, 1e-9);
    // Equal tubes just touch along two lines.
    near(two.ends[0].profile.missing, 0.0, 1e-4);
    near(two.lengths.over_long, 0.4, 1e-9);
}

#[test]
fn temporary_and_provisional_tubes_decide_nothing() {
    let third = "[tube.three]\nsection = \"b\"\npath = [\"b\", \"d\"]\n";
    let (_, c) = cut(&corner(&format!("{third}temporary = true\n")));
    assert_eq!(piece(&c, "one").ends[1].kind, "mitre");
    assert_eq!(piece(&c, "three").ends[0].to, ["one", "two"]);
    // Even first in the file it is cut to the others, and they are mitred as if it were not there.
    let text = corner("").replace("[tube.one]", &format!("{third}temporary = true\n[tube.one]"));
    let (_, c) = cut(&text);
    assert_eq!(piece(&c, "one").ends[1].to, ["two"]);
    assert_eq!(piece(&c, "three").ends[0].kind, "cope");
    let (_, c) = cut(&corner(&format!("{third}provisional = true\n")));
    assert!(c.pieces.iter().all(|p| p.name != "three"));
}

#[test]
fn a_brace_into_a_corner_is_cut_to_the_post_it_also_runs_into() {
    let text = format!(
        r#"{}
[point]
a = [-500, 0, 0]
b = [500, 0, 0]
base = {{ on = "rail", x = 0 }}
top = [0, 0, 500]
foot = {{ on = "rail", x = 30 }}
high = [250, 0, 500]
[tube.rail]
section = "h"
path = ["a", "b"]
[tube.post]
section = "h"
path = ["base", "top"]
[tube.brace]
section = "b"
path = ["foot", "high"]
"#,
        head(45.0, 38.1, 2.0)
    );
    let (_, c) = cut(&text);
    let e = &piece(&c, "brace").ends[0];
    assert_eq!(e.to, ["rail", "post"]);
    assert_eq!(e.extra, ["post"]);
    assert_eq!(e.profile.missing, 0.0);
    assert_eq!(e.setups.len(), 2);
    assert!(c.findings.iter().any(|f| f.what.contains("also runs into post")));
    // Each fibre stops at the nearer of the two surfaces.
    let only = |to: &str| {
        let t = text.replace(
            "path = [\"foot\", \"high\"]",
            &format!("path = [\"foot\", \"high\"]\nstart = {{ to = [\"{to}\"] }}"),
        );
        piece(&cut(&t).1, "brace").ends[0].profile.clone()
    };
    let (rail, post) = (only("rail"), only("post"));
    for f in &e.profile.fibres {
        let at = |p: &cutting::Profile| p.fibres.iter().find(|g| (g.round - f.round).abs() < 1e-12).map(|g| g.outer);
        if let (Some(r), Some(p)) = (at(&rail), at(&post)) {
            near(f.outer, r.min(p), 1e-9);
        }
    }
}

#[test]
fn a_tube_wider_than_its_host_ends_on_the_host_s_mid_plane_where_it_misses() {
    let text = format!(
        "{}\n[point]\na = [-500, 0, 0]\nb = [500, 0, 0]\nm = {{ on = \"thin\", x = 0 }}\nc = [0, 0, 400]\n[tube.thin]\nsection = \"b\"\npath = [\"a\", \"b\"]\n[tube.wide]\nsection = \"h\"\npath = [\"m\", \"c\"]\n",
        head(60.0, 30.0, 2.0)
    );
    let (_, c) = cut(&text);
    let p = &piece(&c, "wide").ends[0].profile;
    near(p.long, 0.0, 1e-9);
    // Fibres farther than 15 from the middle miss: those beyond asin(15/30) = 30 degrees on either side.
    near(p.missing, 240.0 / 360.0, 2.0 / 360.0);
    assert!(c.findings.iter().any(|f| f.level == shape::Level::Mend && f.what.contains("misses part of thin")));
}

#[test]
fn planes_and_free_ends() {
    let text = corner("").replace(
        "path = [\"a\", \"b\"]",
        "path = [\"a\", \"b\"]\nstart = { plane = { point = \"a\", normal = [1, 0, 1] } }",
    );
    let (_, c) = cut(&text);
    let p = piece(&c, "one");
    assert_eq!(p.ends[0].kind, "plane");
    near(p.ends[0].profile.long, 0.01905, 1e-9);
    near(p.ends[0].profile.short, -0.01905, 1e-9);
    let (_, c) = cut(&corner(""));
    assert_eq!(piece(&c, "one").ends[0].kind, "square");
    near(piece(&c, "one").ends[0].profile.long, 0.0, 0.0);
    // A plane along the tube is never met.
    let text = corner("").replace("path = [\"a\", \"b\"]", "path = [\"a\", \"b\"]\nstart = { plane = { z = 100 } }");
    let (_, c) = cut(&text);
    assert!(c.findings.iter().any(|f| f.what.contains("never meets")), "{:?}", c.findings);
}
