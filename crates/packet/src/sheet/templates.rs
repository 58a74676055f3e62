//! Wrap templates at exactly 1:1.
//!
//! A template is the outside of the tube unrolled, seen from outside, so that it is wrapped print outward: up the page
//! is out of the tube, across it the distance round from the scribe line. Rising turn (clockwise looking from start to
//! end) then runs to the right at an end, and to the left at a start, whose way out is the other way along the tube.
//! The paper below the bold line stays on the tube.

use cutting::{EndCut, Piece};
use design::SectionShape;
use glam::DVec2;
use shape::End;

mod lines;
mod place;
mod rules;

use super::layout::{SMALL, Sheets};
use super::page::{Anchor, Ink, LINE, Pen, THIN};
use lines::{Span, band, clip};
use place::{Shelf, Spot};
use review::Text;
pub use rules::{need, rules};

/// The cut.
pub const CUT: Pen = Pen::new(Ink::Black, 0.35);
/// Tube kept below the least point of the cut, so that the paper holds on, mm.
const HOLD: f64 = 25.0;
/// Overlap of tiles, mm.
const OVERLAP: f64 = 10.0;
/// Side of the calibration square, and length of the rules on the pages after it, mm.
pub const SQUARE: f64 = 100.0;
/// Room for the rule along the foot of a page, mm.
pub const RULES: f64 = 9.0;
/// Room for the rule up the right of a page, mm.
pub const UPRIGHT: f64 = 7.0;
const TITLE: &str = "templates, 1:1";

/// Whether an end needs a template: all but plain square cuts.
pub fn needed(e: &EndCut) -> bool {
    let flat = |f: &cutting::Fibre| (f.radial - e.profile.long).abs() < 1e-6;
    !e.profile.open && !e.profile.fibres.iter().all(flat)
}

/// Length round the outside, m.
pub fn perimeter(size: &SectionShape) -> f64 {
    match *size {
        SectionShape::Round { od, .. } => std::f64::consts::PI * od,
        SectionShape::Box { width, height, corner, .. } => {
            2.0 * (width + height) - (8.0 - std::f64::consts::TAU) * corner
        }
    }
}

/// The cut's line in mm: first the distance round from the scribe line by rising turn, then the height over the least
/// point. The last point closes the round. For an end's paper see [`printed`].
fn line(p: &Piece, e: &EndCut, reach: impl Fn(&cutting::Fibre) -> f64) -> Vec<DVec2> {
    let least = e.profile.fibres.iter().map(|f| f.radial).fold(f64::INFINITY, f64::min);
    let mut out: Vec<DVec2> = e.profile.fibres.iter().map(|f| DVec2::new(f.round, reach(f) - least) * 1e3).collect();
    if let Some(first) = out.first().copied() {
        out.push(DVec2::new(perimeter(&p.size) * 1e3, first.y));
    }
    out
}

/// Where a distance round from the scribe line (mm, rising turn) lies across an end's template, mm.
pub fn across(p: &Piece, end: End, round: f64) -> f64 {
    match end {
        End::Start => perimeter(&p.size) * 1e3 - round,
        End::End => round,
    }
}

/// The cut's line as it is printed, in mm: across the template from its left edge, up from the least point. Both of
/// its ends stand on the scribe line.
pub fn printed(p: &Piece, end: End, reach: impl Fn(&cutting::Fibre) -> f64) -> Vec<DVec2> {
    let mut out: Vec<DVec2> =
        line(p, p.end(end), reach).into_iter().map(|q| DVec2::new(across(p, end, q.x), q.y)).collect();
    if end == End::Start {
        out.reverse();
    }
    out
}

/// All templates, packed on pages.
pub fn draw(s: &mut Sheets, pieces: &[Piece], t: &Text) {
    let jobs: Vec<(&Piece, End)> =
        pieces.iter().flat_map(|p| End::BOTH.map(|e| (p, e))).filter(|(p, e)| needed(p.end(*e))).collect();
    if jobs.is_empty() {
        return;
    }
    s.start(TITLE);
    rules::calibration(s);
    let mut shelf = Shelf::default();
    for (p, end) in jobs {
        template(s, &mut shelf, p, end, t);
    }
}

/// A stretch cut into parts that overlap, none longer than `room`.
fn spans(from: f64, to: f64, room: f64) -> Vec<Span> {
    let whole = to - from;
    let n = if whole <= room { 1 } else { ((whole - OVERLAP) / (room - OVERLAP)).ceil() as usize };
    (0..n).map(|k| from + k as f64 * (room - OVERLAP)).map(|a| (a, (a + room).min(to))).collect()
}

/// Most pages for one end: a cut that is longer is a slip in the design, and no one would paste it together.
const MOST: usize = 24;

/// Room for the title over a part that keeps none of the tube's paper, mm.
const TITLED: f64 = 6.0;

fn template(s: &mut Sheets, shelf: &mut Shelf, p: &Piece, end: End, t: &Text) {
    let e = p.end(end);
    let cut = printed(p, end, |f| f.radial);
    let contact = printed(p, end, |f| f.outer);
    let top = cut.iter().chain(&contact).map(|q| q.y).fold(0.0, f64::max);
    let around = perimeter(&p.size) * 1e3;
    let (wide, tall) = (place::width(s), place::height(s));
    // What is too wide for the page may still be short enough to lie along it.
    let turned = around <= tall && HOLD + top <= wide;
    let columns = spans(0.0, around, if turned { tall } else { wide });
    let rows = spans(-HOLD, top, tall - TITLED);
    let parts = rows.len() * columns.len();
    if parts > MOST {
        let line = format!(
            "{} {} · {}: {} long, too long a cut for paper. The packet's templates folder has it as a drawing.",
            p.number,
            p.name,
            end.word(),
            t.length_unit(top / 1e3)
        );
        need(s, TITLE, 3.0 * TITLED);
        s.paragraph(&line, SMALL, Ink::Alarm);
        return;
    }
    let tiles = rows.iter().flat_map(|r| columns.iter().map(move |c| (*r, *c)));
    for (n, (row, column)) in tiles.enumerate() {
        let part = match (parts, rows.len()) {
            (1, _) => String::new(),
            (_, 1) => format!(" · part {} of {parts}", n + 1),
            _ => format!(
                " · part {} of {parts}: row {} from the tube, column {} from the scribe line",
                n + 1,
                n / columns.len() + 1,
                n % columns.len() + 1
            ),
        };
        let title = format!("{} {} · {}{part}", p.number, p.name, end.word());
        let over = if row.0 == -HOLD { 0.0 } else { TITLED };
        let spot = shelf.place(s, DVec2::new(column.1 - column.0, row.1 - row.0 + over));
        let place = |q: DVec2| DVec2::new(q.x - column.0, over + row.1 - q.y);
        if row.0 == -HOLD {
            heading(s, &spot, &title, p, e, t, (row.1, column.1 - column.0));
            marks(s, &spot, p, end, column, row.1);
        } else {
            let title = s.faces[1].fit(&title, SMALL, column.1 - column.0);
            spot.text(s.page(), DVec2::new(0.0, 3.0), SMALL, &title).bold();
        }
        let page = s.page();
        // Upright edges, on the scribe line or at the tile's end.
        for (x, scribe) in [(column.0, column.0 == 0.0), (column.1, column.1 == around)] {
            let pen = if scribe { Pen::new(Ink::Accent, 0.3) } else { THIN.dashed(1.5) };
            let high = clip(&cut, x, x).first().map_or(0.0, |q| q.y).min(row.1);
            if high > row.0 {
                spot.line(page, [DVec2::new(x, high), DVec2::new(x, row.0)].map(place), pen);
            }
        }
        let level = |y: f64| [DVec2::new(column.0, y), DVec2::new(column.1, y)].map(place);
        spot.line(page, level(row.0), if row.0 == -HOLD { LINE } else { THIN.dashed(1.5) });
        if row.1 < top {
            spot.line(page, level(row.1), THIN);
        }
        for (line, pen) in [(&contact, THIN.dashed(0.8)), (&cut, CUT)] {
            for run in band(&clip(line, column.0, column.1), row) {
                spot.line(page, run.into_iter().map(place), pen);
            }
        }
    }
}

/// From the left edge of a template to its title, mm: the arrow stands there.
const INDENT: f64 = 11.5;
/// Base line of the title below the least point of the cut, and the last one that is clear of the marks, mm.
const NAMED: [f64; 2] = [10.8, 17.4];

/// The title and what the cut is, on the paper that stays on the tube: so that a template keeps its name when it is
/// cut out.
fn heading(s: &mut Sheets, spot: &Spot, title: &str, p: &Piece, e: &EndCut, t: &Text, (base, wide): (f64, f64)) {
    let room = wide - INDENT - 1.0;
    let label = format!("{} · {} to {} · {} all round", p.section, e.kind, e.to.join(", "), t.fine(perimeter(&p.size)));
    let mut y = NAMED[0];
    for (k, text) in [title, &label].into_iter().enumerate() {
        let (face, ink) = if k == 0 { (1, Ink::Black) } else { (0, Ink::Grey) };
        let size = if k == 0 && s.faces[1].width(title, 3.2) <= room { 3.2 } else { SMALL };
        let lines = s.faces[face].wrap(text, size, room);
        let count = lines.len();
        for (i, line) in lines.into_iter().enumerate() {
            if y > NAMED[1] {
                break;
            }
            let last = y + 3.3 > NAMED[1] && i + 1 < count;
            let line = if last { s.faces[face].fit(&format!("{line} …"), size, room) } else { line };
            spot.text(s.page(), DVec2::new(INDENT, base + y), size, &line).ink(ink).bold = k == 0;
            y += 3.3;
        }
    }
}

/// Quarter marks (or the middles of a box's faces and its corners), the arrow and the words on the paper. The least
/// point of the cut stands `base` below the top of the template.
fn marks(s: &mut Sheets, spot: &Spot, p: &Piece, end: End, span: Span, base: f64) {
    let around = perimeter(&p.size) * 1e3;
    let mut ticks: Vec<(f64, f64, String)> = match p.size {
        SectionShape::Round { .. } => {
            [90, 180, 270].iter().map(|a| (around * f64::from(*a) / 360.0, 7.0, a.to_string())).collect()
        }
        SectionShape::Box { width, height, corner, .. } => {
            let (w, h) = (1e3 * (width - 2.0 * corner), 1e3 * (height - 2.0 * corner));
            let c = 1e3 * corner * std::f64::consts::FRAC_PI_2;
            let side = w / 2.0 + c + h / 2.0;
            let faces = [(side, "right"), (around / 2.0, "bottom"), (around - side, "left")];
            let mut out: Vec<_> = faces.map(|(round, name)| (round, 7.0, name.to_owned())).into();
            // Where the flats end and the corners begin.
            let mut round = w / 2.0;
            for flat in [h, w, h, w] {
                out.extend([round, round + c].map(|x| (x, 3.0, String::new())));
                round += c + flat;
            }
            out
        }
    };
    for tick in &mut ticks {
        tick.0 = across(p, end, tick.0) - span.0;
    }
    let wide = span.1 - span.0;
    let scribe = if wide > 60.0 { "scribe line" } else { "scribe" };
    // Left of this the scribe line's name stands.
    let free = if span.0 == 0.0 { s.faces[0].width(scribe, SMALL) + 2.4 } else { 0.0 };
    let (foot, words) = (base + HOLD, base + HOLD - 2.0);
    let page = s.page();
    for (x, tall, name) in ticks.into_iter().filter(|t| t.0 > 0.0 && t.0 < wide) {
        spot.line(page, [DVec2::new(x, foot - tall), DVec2::new(x, foot)], THIN);
        if !name.is_empty() && x + 1.0 > free {
            spot.text(page, DVec2::new(x + 1.0, words), SMALL, &name).ink(Ink::Grey);
        }
    }
    if span.0 == 0.0 {
        spot.text(page, DVec2::new(1.2, words), SMALL, scribe).ink(Ink::Accent);
    }
    let short = p.end(end).profile.fibres.iter().min_by(|a, b| a.radial.total_cmp(&b.radial));
    let short = short.map(|f| across(p, end, f.round * 1e3) - span.0);
    if let Some(x) = short.filter(|x| *x > 0.0 && *x < wide) {
        let q = DVec2::new(x, base);
        spot.line(page, [q + DVec2::new(-1.2, 3.2), q, q + DVec2::new(1.2, 3.2)], LINE);
        spot.text(page, q + DVec2::new(0.0, 6.0), SMALL, "short").anchor(Anchor::Middle);
    }
    // The arrow out of the tube.
    let (tip, tail) = (DVec2::new(3.0, base + 8.0), DVec2::new(3.0, base + 17.0));
    spot.line(page, [tail, tip], LINE);
    spot.line(page, [tip + DVec2::new(-1.2, 2.4), tip, tip + DVec2::new(1.2, 2.4)], LINE);
    spot.text(page, DVec2::new(4.4, base + 14.0), SMALL, "out").ink(Ink::Grey);
}
