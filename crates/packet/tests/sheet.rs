//! The sheets: true to scale, complete, and nothing off the paper or over another thing.

use std::sync::Arc;

use glam::DVec2;
use packet::sheet::page::{Anchor, Item, Page, Text};
use packet::sheet::{Identity, face::Face, layout, pages, pdf, templates};
use review::Review;
use shape::End;

/// Numbers on a page pass through a few sums of millimetres only.
const SAME: f64 = 1e-6;

fn review_of(text: &str) -> Review {
    let reading = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "design", text)));
    review::review(Arc::new(reading.design), cutting::Detail::SHEET)
        .unwrap_or_else(|p| panic!("{}", design::render(&p, "design", text)))
}

fn gorse() -> Review {
    review_of(include_str!("../../../examples/gorse.toml"))
}

fn identity() -> Identity {
    Identity {
        file: "gorse.toml".into(),
        hash: "0123456789abcdef".repeat(4),
        date: "2026-11-25".into(),
        version: "0.1.0".into(),
    }
}

fn sheets(r: &Review) -> Vec<Page> {
    pages(r, &identity()).expect("the pages are laid out")
}

fn texts(p: &Page) -> impl Iterator<Item = &Text> {
    p.items.iter().filter_map(|i| match i {
        Item::Text(t) => Some(t),
        Item::Path { .. } => None,
    })
}

/// Least and greatest corner of a text, from under its base line to the top of its capitals.
fn extent(faces: &[Face; 2], t: &Text) -> [DVec2; 2] {
    let w = faces[usize::from(t.bold)].width(&t.text, t.size);
    let x = match t.anchor {
        Anchor::Left => 0.0,
        Anchor::Middle => -w / 2.0,
        Anchor::Right => -w,
    };
    let turn = DVec2::from_angle(t.turn);
    let corners = [(x, 0.0), (x + w, 0.0), (x, -0.7 * t.size), (x + w, -0.7 * t.size)]
        .map(|(x, y)| t.at + turn.rotate(DVec2::new(x, y)));
    corners.iter().fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[a, b], c| [a.min(*c), b.max(*c)])
}

fn faces() -> [Face; 2] {
    [false, true].map(|b| Face::new(b).expect("the face is built in"))
}

/// Paths' points that lie off the paper, and texts that do or that stand over one another.
fn faults(pages: &[Page]) -> Vec<String> {
    let faces = faces();
    let mut out = Vec::new();
    for (n, p) in pages.iter().enumerate() {
        let size = DVec2::new(p.width, p.height);
        let off = |q: DVec2| !(q.cmpge(DVec2::ZERO).all() && q.cmple(size).all());
        for item in &p.items {
            if let Item::Path { points, .. } = item
                && let Some(q) = points.iter().find(|q| off(**q))
            {
                out.push(format!("sheet {} ({}): a line runs to {q}", n + 1, p.title));
            }
        }
        let boxes: Vec<([DVec2; 2], &Text)> = texts(p).map(|t| (extent(&faces, t), t)).collect();
        for (i, ([a, b], t)) in boxes.iter().enumerate() {
            if off(*a - layout::MARGIN / 2.0) || off(*b + layout::MARGIN / 2.0) {
                out.push(format!("sheet {} ({}): {:?} is off the paper", n + 1, p.title, t.text));
            }
            for ([c, d], u) in &boxes[..i] {
                if a.cmplt(*d).all() && c.cmplt(*b).all() {
                    out.push(format!("sheet {} ({}): {:?} stands over {:?}", n + 1, p.title, t.text, u.text));
                }
            }
        }
    }
    out
}

fn assert_clean(pages: &[Page]) {
    let faults = faults(pages);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn calibration_is_100_mm() {
    let sheets = sheets(&gorse());
    let first = sheets.iter().find(|p| texts(p).any(|t| t.text == "Measure this first")).expect("there are templates");
    let square = first.items.iter().any(|i| match i {
        Item::Path { points, closed: true, .. } if points.len() == 4 => {
            (points[2] - points[0] - 100.0).abs().max_element() < SAME
        }
        _ => false,
    });
    assert!(square, "no square of 100 mm");
    for p in sheets.iter().filter(|p| p.title == first.title || p.title == "plates") {
        let length = |want: DVec2| {
            p.items.iter().any(|i| match i {
                Item::Path { points, closed: false, .. } if points.len() == 2 => {
                    (points[1] - points[0] - want).length() < SAME
                }
                _ => false,
            })
        };
        assert!(length(DVec2::new(101.6, 0.0)), "no rule of 4 in on a page of {}", p.title);
        assert!(std::ptr::eq(p, first) || (length(DVec2::X * 100.0) && length(DVec2::Y * 100.0)), "no 100 mm rules");
    }
}

#[test]
fn each_piece_has_a_card_and_each_odd_end_a_template() {
    let r = gorse();
    let sheets = sheets(&r);
    let on = |title: &str| -> Vec<&str> {
        sheets.iter().filter(|p| p.title == title).flat_map(texts).map(|t| t.text.as_str()).collect()
    };
    let (cards, wraps) = (on("cards"), on("templates, 1:1"));
    for p in &r.cutting.pieces {
        assert!(cards.contains(&format!("{}  {}", p.number, p.name).as_str()), "no card for {}", p.name);
        for end in End::BOTH {
            let title = format!("{} {} · {}", p.number, p.name, end.word());
            let found = wraps.iter().any(|t| *t == title || t.starts_with(&format!("{title} · part")));
            assert_eq!(found, templates::needed(p.end(end)), "template of the {} of {}", end.word(), p.name);
        }
    }
    assert!(r.cutting.pieces.iter().any(|p| templates::needed(p.end(End::Start))), "the demo has notches");
}

/// The bold lines of the templates, with those that lie on their side set upright: paper as one holds it.
fn cuts(sheets: &[Page]) -> Vec<Vec<DVec2>> {
    let bold = |i: &'_ Item| match i {
        Item::Path { closed: false, pen: Some(pen), .. } => *pen == templates::CUT,
        _ => false,
    };
    // The cut runs on and on across the template; of one on its side that is down the page.
    let upright = |l: &[DVec2]| l.windows(2).all(|w| w[1].x >= w[0].x - SAME);
    sheets
        .iter()
        .filter(|p| p.title == "templates, 1:1")
        .flat_map(|p| &p.items)
        .filter(|i| bold(i))
        .filter_map(|i| match i {
            Item::Path { points, .. } if upright(points) => Some(points.clone()),
            // The page turned anticlockwise by a right angle.
            Item::Path { points, .. } => Some(points.iter().map(|q| DVec2::new(q.y, -q.x)).collect()),
            Item::Text(_) => None,
        })
        .collect()
}

/// Ends that have a template, in the order of the sheets.
fn odd_ends(r: &Review) -> Vec<(&cutting::Piece, End)> {
    let all = r.cutting.pieces.iter().flat_map(|p| End::BOTH.map(|e| (p, e)));
    all.filter(|(p, e)| templates::needed(p.end(*e))).collect()
}

/// Overlap of the parts of a template, mm, as the sheets themselves tell it to the shop.
const OVERLAP: f64 = 10.0;

/// The cut's line of each odd end, its parts laid over one another as the shop does: from 0 across, down the page, with
/// 0 at its lowest place.
fn pasted(r: &Review) -> Vec<(&cutting::Piece, End, Vec<DVec2>)> {
    let mut drawn = cuts(&sheets(r)).into_iter();
    let mut out = Vec::new();
    for (p, end) in odd_ends(r) {
        let around = 1e3 * templates::perimeter(&p.size);
        let mut whole: Vec<DVec2> = Vec::new();
        while whole.last().is_none_or(|q| q.x < around - SAME) {
            let part = drawn.next().expect("as many parts as the tube is round");
            let (x, y) = match whole.last() {
                None => (0.0, part[0].y),
                Some(last) => {
                    let x = last.x - OVERLAP;
                    let k = whole.partition_point(|q| q.x < x - SAME).max(1);
                    let (a, b) = (whole[k - 1], whole[k]);
                    (x, a.lerp(b, ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0)).y)
                }
            };
            let moved: Vec<DVec2> = part.iter().map(|q| *q - part[0] + DVec2::new(x, y)).collect();
            // Where two parts lie over one another they show the same line.
            for q in moved.iter().take_while(|q| whole.last().is_some_and(|l| q.x < l.x)) {
                let k = whole.partition_point(|w| w.x < q.x).max(1);
                let (a, b) = (whole[k - 1], whole[k]);
                let want = a.lerp(b, ((q.x - a.x) / (b.x - a.x)).clamp(0.0, 1.0));
                assert!(q.distance(want) < SAME, "parts of the {} of {} differ", end.word(), p.name);
            }
            let from = whole.last().map_or(f64::NEG_INFINITY, |l| l.x);
            whole.extend(moved.into_iter().filter(|q| q.x > from));
        }
        let low = whole.iter().map(|q| q.y).fold(f64::NEG_INFINITY, f64::max);
        out.push((p, end, whole.into_iter().map(|q| DVec2::new(q.x, q.y - low)).collect()));
    }
    assert!(drawn.next().is_none(), "as many templates as ends");
    out
}

/// Where paper laid round a box tube comes to lie: a distance round from the middle of the top face, `u` up and `e` to
/// the right. It lies flat on the faces and bends round the corners.
fn folded(width: f64, height: f64, corner: f64, mut d: f64) -> DVec2 {
    let quarter = corner * std::f64::consts::FRAC_PI_2;
    // Each flat: its length, the way along it and the way out of its face, as (u, e).
    let faces = [
        (width / 2.0 - corner, DVec2::Y, DVec2::X),
        (height - 2.0 * corner, DVec2::NEG_X, DVec2::Y),
        (width - 2.0 * corner, DVec2::NEG_Y, DVec2::NEG_X),
        (height - 2.0 * corner, DVec2::X, DVec2::NEG_Y),
        (width / 2.0 - corner, DVec2::Y, DVec2::X),
    ];
    let mut at = DVec2::new(height / 2.0, 0.0);
    for (flat, along, out) in faces {
        if d <= flat {
            return at + along * d;
        }
        (d, at) = (d - flat, at + along * flat);
        if d <= quarter {
            let a = d / corner;
            return at - out * corner + (out * a.cos() + along * a.sin()) * corner;
        }
        (d, at) = (d - quarter, at - out * corner + along * corner);
    }
    at
}

/// The bold line of each template, wrapped print outward round its tube, lies where the profile's fibres end: the paper's
/// left to right, seen from outside with the way out upward, is a right-handed turn about the way out.
fn assert_wraps(r: &Review) -> usize {
    // Boxes, at starts and at ends, of drawn and of mirrored tubes.
    let mut boxes = std::collections::BTreeSet::new();
    for (p, end, line) in pasted(r) {
        let t = &r.shape.tubes[p.tube];
        let (fibres, out) = (&p.end(end).profile.fibres, t.outward(end));
        let least = fibres.iter().map(|f| f.radial).fold(f64::INFINITY, f64::min) * 1e3;
        let right = out.t.cross(out.u);
        // Where each point of the paper comes to lie about the end point, mm.
        let wrapped: Vec<geometry::DVec3> = line
            .iter()
            .map(|q| {
                let f = match p.size {
                    design::SectionShape::Round { od, .. } => {
                        let r = 1e3 * od / 2.0;
                        DVec2::from_angle(q.x / r) * r
                    }
                    design::SectionShape::Box { width, height, corner, .. } => {
                        boxes.insert((end as usize, p.twin_of.is_some()));
                        folded(1e3 * width, 1e3 * height, 1e3 * corner, q.x)
                    }
                };
                out.u * f.x + right * f.y + out.t * (least - q.y)
            })
            .collect();
        assert!(line.len() > fibres.len(), "{}", p.name);
        for f in fibres {
            let q = t.outline.point(t.outline.station(f.round)) * 1e3;
            let f0 = match end {
                End::Start => t.frames[0],
                End::End => t.frames[t.frames.len() - 1],
            };
            let want = f0.u * q.x + f0.v * q.y + out.t * (f.radial * 1e3);
            let miss = wrapped.iter().map(|w| w.distance(want)).fold(f64::INFINITY, f64::min);
            assert!(miss < SAME, "{} of {}: {miss} mm off", end.word(), p.name);
        }
        // It closes: as far across as the tube is round, as high as at first.
        let last = line[line.len() - 1] - line[0];
        assert!((last.x - 1e3 * templates::perimeter(&p.size)).abs() < SAME && last.y.abs() < SAME, "{}", p.name);
    }
    boxes.len()
}

#[test]
fn templates_wrap_onto_the_profile() {
    assert_eq!(assert_wraps(&gorse()), 4, "rails at starts and ends, drawn and mirrored");
}

/// Box tubes that are wider than high, turned about their axes, cut to round and box tubes askew, and too wide round for
/// the page.
const BOXES: &str = r#"
[design]
name = "Boxes"
[section.t]
shape = "round"
od = 48.3
wall = 3
material = "S355"
[section.flat]
shape = "box"
width = 60
height = 30
wall = 2
material = "S355"
[section.large]
shape = "box"
width = 120
height = 180
wall = 5
corner = 12
material = "S355"
[point]
a = [0, -300, 0]
b = [40, 300, 30]
c = { on = "across", part = 0.3 }
d = [500, -250, 200]
e = { on = "flat", part = 0.6 }
f = [400, -500, 700]
g = { on = "across", part = 0.7 }
h = [-900, 200, 100]
i = [-1500, -300, 420]
[tube.across]
section = "t"
path = ["a", "b"]
[tube.flat]
section = "flat"
path = ["c", "d"]
roll = 25
mirror = true
[tube.stub]
section = "flat"
path = ["f", "e"]
roll = -70
mirror = true
[tube.large]
section = "large"
path = ["g", "h"]
[tube.larger]
section = "large"
path = ["h", "i"]
roll = 10
"#;

#[test]
fn box_templates_wrap_onto_the_profile() {
    let r = review_of(BOXES);
    assert_eq!(assert_wraps(&r), 4, "starts and ends, drawn and mirrored");
    let parts = |name: &str| {
        let tiled =
            sheets(&r).iter().flat_map(texts).filter(|t| t.text.contains(&format!(" {name} · start · part"))).count();
        tiled
    };
    assert!(parts("large") > 1 && parts("flat") == 0, "the large one comes in parts, the small one whole");
    assert_clean(&sheets(&r));
}

/// A template that is a little too wide to have another beside it lies on its side.
#[test]
fn narrow_templates_share_their_pages() {
    let r = gorse();
    let narrow =
        |p: &cutting::Piece| matches!(p.size, design::SectionShape::Round { od, .. } if (od - 0.030).abs() < 1e-9);
    let titles: Vec<String> = odd_ends(&r)
        .iter()
        .filter(|(p, _)| narrow(p))
        .map(|(p, e)| format!("{} {} · {}", p.number, p.name, e.word()))
        .collect();
    let pages = sheets(&r);
    let most = pages.iter().map(|p| texts(p).filter(|t| titles.contains(&t.text)).count()).max();
    assert!(most >= Some(6), "{most:?} of a page's templates of 30 mm tube");
    assert!(pages.iter().flat_map(texts).any(|t| titles.contains(&t.text) && t.turn != 0.0), "none is turned");
}

#[test]
fn the_demos_stay_on_the_paper() {
    assert_clean(&sheets(&gorse()));
    assert_clean(&sheets(&review_of(include_str!("../../../examples/wren.toml"))));
}

/// Overall dimensions are those of the cut pieces: the demo's longest is from outside to outside of its two loops, whose
/// middle legs run straight across nose and tail.
#[test]
fn overall_length_is_that_of_the_loops() {
    let r = gorse();
    let reach = |d| packet::sheet::extent::frame(&r, d);
    let outside = |name: &str| {
        let t = r.shape.tubes.iter().find(|t| t.name == name).expect("the demo has two loops");
        t.chain.point(t.chain.length() / 2.0).x.abs() + t.outline.reach()
    };
    let long = reach(geometry::DVec3::X) + reach(geometry::DVec3::NEG_X);
    assert!((long - outside("nose_loop") - outside("bay_loop")).abs() < 1e-9, "{long}");
    // It is the same on both sides.
    assert!((reach(geometry::DVec3::Y) - reach(geometry::DVec3::NEG_Y)).abs() < 1e-9);
}

const ONE: &str = r#"
[design]
name = "One"
[section.t]
shape = "round"
od = 38
wall = 2.5
material = "S355"
[point]
a = [0, 0, 0]
b = [0, 0, 500]
[tube.post]
section = "t"
path = ["a", "b"]
"#;

/// Box tube too wide round for the page, long names and notes, inches, Letter.
const WIDE: &str = r#"
[design]
name = "A design with a name that is a good deal longer than the names that people give to things"
units = "in"
note = "A note that goes on for so long that it can't possibly stand on one line of a sheet of paper, however small the letters that it is set in, and that says nothing at all."
by = "Someone with a long name, of somewhere with a longer one, in a place that has the longest name of all"
[section.beam_with_a_long_name_as_names_may_be]
shape = "box"
width = 4
height = 6
wall = "1/4"
material = "S355"
[section.t]
shape = "round"
od = "1 3/4"
wall = 0.095
material = "S355"
[point]
a = [0, -20, 0]
b = [0, 20, 0]
c = [0, 0, 0]
d = [40, 0, 20]
e = [80, 0, 30]
f = [40, 5, 0]
[tube.cross_with_a_name_of_the_full_length_that_is_ok]
section = "t"
path = ["a", "b"]
[tube.spine_with_a_name_of_the_full_length_that_is_ok]
section = "beam_with_a_long_name_as_names_may_be"
path = ["c", "d"]
note = "This note too goes on for longer than a line of the card has room for, so that it has to be broken into two or even three lines, all of which must stand above the picture."
[tube.bent]
section = "t"
path = ["e", "d", "f"]
bend_radius = 6
"#;

/// More bends than a card has room for, and notes as long as essays.
#[test]
fn long_notes_and_many_bends_stay_on_the_paper() {
    let essay = "This goes on. ".repeat(600);
    let mut text = format!(
        "[design]\nname = \"Snake\"\nnote = \"{essay}\"\n[section.t]\nshape = \"round\"\nod = 30\nwall = 2\nmaterial = \"S355\"\n[point]\n"
    );
    let names: Vec<String> = (0..90).map(|k| format!("p{k}")).collect();
    for (k, name) in names.iter().enumerate() {
        text += &format!("{name} = [{}, {}, 0]\n", 300 * k, if k % 2 == 0 { 0 } else { 200 });
    }
    text += &format!("[tube.snake]\nsection = \"t\"\nbend_radius = 60\nnote = \"{essay}\"\npath = {names:?}\n");
    let r = review_of(&text);
    assert_eq!(r.cutting.pieces[0].bends.as_ref().map(|b| b.bends.len()), Some(88));
    assert_clean(&sheets(&r));
}

#[test]
fn odd_designs_have_sheets() {
    for text in [ONE, WIDE] {
        let r = review_of(text);
        let sheets = sheets(&r);
        assert_clean(&sheets);
        let bytes = pdf(&r, &identity()).expect("the PDF is written");
        assert!(bytes.starts_with(b"%PDF"), "not a PDF");
    }
    let r = review_of(WIDE);
    let p = &r.cutting.pieces[1];
    assert!(templates::needed(p.end(End::Start)), "the spine's start is cut to the cross tube");
    let sheets = sheets(&r);
    assert!(sheets.iter().all(|p| p.width == 215.9 || p.height == 215.9), "inches go on Letter");
    // The parts of tiled templates overlap: as many as their titles say, with no stretch of the line left out.
    let mut parts: std::collections::BTreeMap<&str, Vec<&str>> = Default::default();
    for t in sheets.iter().filter(|p| p.title == "templates, 1:1").flat_map(texts) {
        if let Some((end, part)) = t.text.split_once(" · part ") {
            parts.entry(end).or_default().push(part);
        }
    }
    assert!(!parts.is_empty(), "the spine is too wide round for one page");
    for (end, parts) in parts {
        for (k, part) in parts.iter().enumerate() {
            let want = format!("{} of {}", k + 1, parts.len());
            assert!(part.starts_with(&want), "{end}: {part} for {want}");
        }
    }
    let long = |l: &[DVec2]| l.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>();
    let drawn: f64 = cuts(&sheets).iter().map(|l| long(l)).sum();
    let whole: f64 = r
        .cutting
        .pieces
        .iter()
        .flat_map(|p| End::BOTH.map(|e| (p, e)))
        .filter(|(p, e)| templates::needed(p.end(*e)))
        .map(|(p, e)| long(&templates::printed(p, e, |f| f.radial)))
        .sum();
    assert!(drawn > whole, "{drawn} of {whole}");
}
