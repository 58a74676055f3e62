//! The first pages: what this is, what was found, what was not looked at, how to read the rest.

use glam::DVec2;
use review::{Review, Text, summary};
use shape::{Finding, Level};

use super::layout::{BODY, Identity, SMALL, Sheets, word};
use super::page::{Anchor, BOLD, Ink, LINE, Page, Pen, RULE, THIN};
use super::views::{self, View};

/// Size of the design's name, mm.
const NAME: f64 = 10.0;

const NOT_CHECKED: &str = "Not checked by anything in this packet: how the car stands, what happens when it goes over, \
strength and stiffness, welds, whether a piece can still be put in once its neighbours are welded, and any rule book.";

const CAUTIONS: [&str; 5] = [
    "The numbers are arithmetic on what the design file says. They are no verdict on the design.",
    "A structure that protects a person should be looked at by a licensed engineer. The current rules of your organiser \
     or authority, and its inspector, prevail over anything printed here.",
    "Cut one piece, hold it against the car, then cut the rest. Measure the calibration square before using a template.",
    "Check the wall and outside size of the tube in the rack against the sheet: other tube needs other cuts.",
    "Saws, grinders and welding blind, burn and kill. Eyes, lungs and hands first; mind zinc, oil and closed tubes.",
];

/// The cover.
pub fn draw(s: &mut Sheets, r: &Review, id: &Identity, t: &Text) {
    let design = &r.shape.design;
    s.start("cover");
    let (left, right, top) = (s.left(), s.right(), s.top());
    s.y = top - 1.0;
    for line in s.faces[1].wrap(&design.name, NAME, right - left) {
        s.y += NAME;
        let y = s.y;
        s.page().text(left, y, NAME, line).bold();
    }
    s.y += 3.0;
    s.paragraph(&design.note.clone().unwrap_or_default(), BODY, Ink::Black);
    s.need(150.0);
    let y = s.y + 2.0;
    let place = views::place(r, View::slant(), DVec2::new(left, y), DVec2::new(right - left, 104.0), true, false);
    views::draw(s.page(), r, &place);
    s.y = y + 108.0;
    figures(s, r, id, t);
    s.heading("What was not checked");
    s.paragraph(NOT_CHECKED, BODY, Ink::Black);
    let round = format!(
        "Lengths are rounded to {} and angles to {}: each figure is off by at most half of that. Lengths half-way go down.",
        t.step(),
        t.angle(design.limits.round_angle)
    );
    s.paragraph(&round, BODY, Ink::Black);
    s.heading("Before you cut");
    for c in CAUTIONS {
        s.paragraph(c, BODY, Ink::Black);
    }
    findings(s, &r.findings, t);
    convention(s);
}

fn figures(s: &mut Sheets, r: &Review, id: &Identity, t: &Text) {
    let sum = summary(r);
    let design = &r.shape.design;
    let datum = match &design.datum {
        design::Datum::Z(z) => format!("z = {}", t.length_unit(*z)),
        design::Datum::Under(x) => format!("underside of {}", design.tube_name(x)),
        design::Datum::Over(x) => format!("top of {}", design.tube_name(x)),
    };
    let money = format!("{:.2} {}", sum.cost, sum.currency);
    let sticks: usize = r.stock.sections.iter().map(|p| p.sticks.len()).sum();
    let hash = id.hash.get(..24).unwrap_or(&id.hash).to_owned();
    let rows = [
        ("design file", id.file.clone(), "pieces", format!("{} ({} bent)", sum.pieces, sum.bent)),
        ("its SHA-256", hash, "plates", sum.plates.to_string()),
        ("printed", id.date.clone(), "frame, centre to centre", t.mass(sum.frame_kg)),
        ("by", format!("tubewright {}", id.version), "pieces as cut", t.mass(sum.cut_kg)),
        ("units", t.unit().to_owned(), "sticks", sticks.to_string()),
        ("heights from", datum, "steel to buy", money.trim().to_owned()),
        ("drawn by", design.by.clone().unwrap_or_else(|| "-".into()), "", String::new()),
    ];
    let half = s.width() / 2.0;
    for (a, b, c, d) in rows {
        s.y += 5.2;
        let (x, y) = (s.left(), s.y);
        let b = s.faces[0].fit(&b, BODY, half - 26.0);
        let page = s.page();
        page.text(x, y, SMALL, a).ink(Ink::Grey);
        page.text(x + 22.0, y, BODY, b);
        page.text(x + half + 8.0, y, SMALL, c).ink(Ink::Grey);
        page.text(x + 2.0 * half, y, BODY, d).anchor(Anchor::Right);
    }
    s.y += 3.0;
    let (l, r, y) = (s.left(), s.right(), s.y);
    s.page().line([DVec2::new(l, y), DVec2::new(r, y)], RULE);
}

fn findings(s: &mut Sheets, list: &[Finding], t: &Text) {
    s.start("findings");
    s.heading("What was found, worst first");
    if list.is_empty() {
        s.paragraph("Nothing.", BODY, Ink::Black);
    }
    let mut last = None;
    for f in list {
        if last != Some(f.level) {
            last = Some(f.level);
            let head = match f.level {
                Level::Mend => "To mend before anything is cut",
                Level::Look => "To look at",
                Level::NotChecked => "Not checked",
                Level::Note => "To know",
            };
            s.need(14.0);
            s.y += 6.0;
            let (x, y) = (s.left(), s.y);
            s.page().text(x, y, BODY, head).bold();
        }
        finding(s, f, t);
    }
}

fn finding(s: &mut Sheets, f: &Finding, t: &Text) {
    let room = s.width() - 7.0;
    let what = s.faces[0].wrap(&f.what, BODY, room);
    let mut small = Vec::new();
    if let Some(m) = t.measure(f) {
        small.extend(s.faces[0].wrap(&m, SMALL, room));
    }
    if let Some(h) = &f.help {
        small.extend(s.faces[0].wrap(h, SMALL, room));
    }
    s.need(what.len() as f64 * 4.4 + small.len() as f64 * 3.5 + 2.0);
    s.y += 1.6;
    let x = s.left();
    let at = DVec2::new(x, s.y + 1.2);
    mark(s.page(), f.level, at);
    for line in what {
        s.y += 4.2;
        let y = s.y;
        s.page().text(x + 6.0, y, BODY, line);
    }
    for line in small {
        s.y += 3.5;
        let y = s.y;
        s.page().text(x + 6.0, y, SMALL, line).ink(Ink::Grey);
    }
}

/// A hatched box for what must be mended, an open one for what is to be looked at, a dashed one for what was not
/// checked, none for notes.
fn mark(page: &mut Page, level: Level, at: DVec2) {
    let size = DVec2::splat(3.2);
    match level {
        Level::Mend => {
            for k in 1..5 {
                let d = k as f64 * 1.28;
                let a = at + DVec2::new((d - 3.2).max(0.0), d.min(3.2));
                let b = at + DVec2::new(d.min(3.2), (d - 3.2).max(0.0));
                page.line([a, b], Pen::new(Ink::Alarm, 0.35));
            }
            page.rect(at, size, None, Some(Pen::new(Ink::Alarm, 0.35)));
        }
        Level::Look => page.rect(at, size, None, Some(LINE)),
        Level::NotChecked => page.rect(at, size, None, Some(LINE.dashed(0.6))),
        Level::Note => page.circle(at + size / 2.0, 0.6, Some(Ink::Grey), None),
    }
}

/// How the sheets measure: the scribe line, turn, angle, lengths.
fn convention(s: &mut Sheets) {
    s.start("how the sheets measure");
    s.heading("How the sheets measure");
    let (left, y) = (s.left(), s.y + 6.0);
    let page = s.page();
    // A tube, its scribe line, and the direction of looking.
    let (a, b, r) = (left + 30.0, left + 150.0, 11.0);
    let mid = y + 22.0;
    page.area(
        [DVec2::new(a, mid - r), DVec2::new(b + 9.0, mid - r), DVec2::new(b - 9.0, mid + r), DVec2::new(a, mid + r)],
        Some(Ink::Tint),
        Some(BOLD),
    );
    let ring = |rx: f64, ry: f64, from: f64, to: f64| -> Vec<DVec2> {
        (0..=40)
            .map(|k| from + (to - from) * k as f64 / 40.0)
            .map(|q: f64| DVec2::new(a + rx * q.sin(), mid - ry * q.cos()))
            .collect()
    };
    page.area(ring(4.0, r, 0.0, std::f64::consts::TAU), Some(Ink::Paper), Some(BOLD));
    page.line([DVec2::new(a, mid - r), DVec2::new(b + 9.0, mid - r)], Pen::new(Ink::Accent, 0.7));
    page.text(a + 30.0, mid - r - 2.0, BODY, "scribe line: 0°").ink(Ink::Accent);
    let arrow = |page: &mut Page, from: DVec2, to: DVec2| {
        let d = (to - from).normalize_or_zero();
        page.line([from, to], LINE);
        page.line([to - d * 3.0 + d.perp() * 1.3, to, to - d * 3.0 - d.perp() * 1.3], LINE);
    };
    arrow(page, DVec2::new(left, mid), DVec2::new(a - 8.0, mid));
    page.text(left, mid - 2.0, BODY, "look this way");
    page.text(a - 4.0, mid + r + 6.0, BODY, "start").bold();
    page.text(b - 4.0, mid + r + 6.0, BODY, "end").bold();
    let turn = ring(2.6, 7.0, 0.1, 1.5);
    let tip = turn[turn.len() - 1];
    page.line(turn, Pen::new(Ink::Accent, 0.4));
    page.line([tip + DVec2::new(-1.6, -1.8), tip, tip + DVec2::new(1.2, -2.0)], Pen::new(Ink::Accent, 0.4));
    page.text(a + 7.0, mid + 1.0, BODY, "turn: clockwise from here, looking from start to end");
    page.line([DVec2::new(b + 9.0, mid - r), DVec2::new(b + 9.0, mid + r + 10.0)], THIN);
    page.line([DVec2::new(b - 9.0, mid + r), DVec2::new(b - 9.0, mid + r + 10.0)], THIN);
    page.text(b + 11.0, mid - r + 3.0, BODY, "long point");
    page.text(b - 9.0, mid + r + 14.0, BODY, "short side").anchor(Anchor::Right);
    s.y = mid + r + 20.0;
    let rows: Vec<Vec<String>> = [
        ("scribe line", "One line along every tube, marked before it is cut. On top of a straight tube as it lies in the car           (facing forward on a vertical one); on the outside of the first bend of a bent one. It runs on through the bends."),
        ("start, end", "The start is the end written first in the design. The label's arrow points to the end."),
        ("turn", "How far round the tube from the scribe line, clockwise looking from start to end, at both ends alike. For           a cut it is where the short side lies. A mirror-image piece turns the other way: its card says its own figures."),
        ("angle", "From square. 0 is a cut straight across. What the notcher's scale shows stands beside it."),
        ("short side", "Where the cut goes farthest back: the side of the sharp angle between the two tubes."),
        ("over long points", "Between the two farthest points of the piece: the shortest stick that holds it."),
        ("between notch centres", "Between the axes of the two hole-saw cuts, where a notch cuts the piece to length."),
        ("blank", "What to cut from the stick: over long points, with what is left long and what the bender's clamp needs."),
        ("travel", "How deep the hole saw must go along its own axis to pass both walls."),
        ("bend marks", "From one end of the blank, all from that end. The turn before a bend is clockwise looking along the           feed, from the end in the clamp onward."),
    ]
    .iter()
    .map(|(a, b)| vec![(*a).to_owned(), b.split_whitespace().collect::<Vec<_>>().join(" ")])
    .collect();
    s.table(&[word("word"), super::layout::prose("what it means on these sheets")], &rows, BODY);
}
