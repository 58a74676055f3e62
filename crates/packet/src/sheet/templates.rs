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

use super::layout::{SMALL, Sheets};
use super::page::{Anchor, Ink, LINE, Page, Pen, THIN};
use review::Text;

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
    calibration(s);
    let mut shelf = Shelf::default();
    for (p, end) in jobs {
        template(s, &mut shelf, p, end, t);
    }
}

/// Templates stand beside one another where they are narrow.
#[derive(Default)]
struct Shelf {
    /// The page it is on, and where its templates begin, mm.
    page: usize,
    top: f64,
    /// How far it is filled, and its height, mm.
    filled: f64,
    high: f64,
}

/// Room between two templates on a shelf, mm.
const APART: f64 = 6.0;
/// A template takes at least this width, so that its title can be read, mm.
const LEAST: f64 = 70.0;

impl Shelf {
    /// The top left corner of a place of some size: beside the last one, or below.
    fn place(&mut self, s: &mut Sheets, width: f64, height: f64) -> DVec2 {
        let room = s.width() - 1.0 - UPRIGHT;
        let width = width.max(LEAST.min(room));
        let same = self.page == s.pages.len() && self.high > 0.0;
        let fits = self.filled + APART + width <= room && self.top + height <= s.bottom() - RULES;
        if same && fits {
            let x = s.left() + 1.0 + self.filled + APART;
            self.filled += APART + width;
            self.high = self.high.max(height);
            s.y = self.top + self.high;
            return DVec2::new(x, self.top);
        }
        need(s, TITLE, height);
        *self = Shelf { page: s.pages.len(), top: s.y, filled: width, high: height };
        s.y += height;
        DVec2::new(s.left() + 1.0, self.top)
    }
}

/// Begins another page, with its rules, if less than `height` is left above them.
pub fn need(s: &mut Sheets, title: &str, height: f64) {
    if s.y + height > s.bottom() - RULES {
        s.start(title);
        rules(s);
    }
}

/// 100 mm across and up, so that every page can be measured, and 4 in across.
pub fn rules(s: &mut Sheets) {
    let (x, right, y) = (s.left(), s.right(), s.bottom() - 1.0);
    let page = s.page();
    let (low, high) = (DVec2::new(x, y), DVec2::new(right, y - SQUARE));
    page.line([low, low + DVec2::new(SQUARE, 0.0)], LINE);
    page.line([high, high + DVec2::new(0.0, SQUARE)], LINE);
    for k in 0..=10 {
        let d = k as f64 * SQUARE / 10.0;
        let l = if k % 5 == 0 { 2.4 } else { 1.4 };
        page.line([DVec2::new(x + d, y), DVec2::new(x + d, y - l)], LINE);
        page.line([DVec2::new(right, y - d), DVec2::new(right - l, y - d)], LINE);
    }
    let inches = y - 4.6;
    page.line([DVec2::new(x, inches), DVec2::new(x + 4.0 * 25.4, inches)], LINE);
    for k in 0..=4 {
        let d = f64::from(k) * 25.4;
        page.line([DVec2::new(x + d, inches), DVec2::new(x + d, inches - 2.0)], LINE);
    }
    page.text(x + 4.0 * 25.4 + 2.0, inches + 0.6, SMALL, "4 in").ink(Ink::Grey);
    page.text(x + SQUARE + 3.4, y + 0.6, SMALL, "100 mm, and up the right: print at 100 %, measure this first");
}

/// The square that must measure right before anything is cut.
fn calibration(s: &mut Sheets) {
    let (x, y) = (s.left(), s.y + 2.0);
    let page = s.page();
    page.rect(DVec2::new(x, y), DVec2::splat(SQUARE), None, Some(LINE));
    for k in 1..10 {
        let d = k as f64 * 10.0;
        let l = if k == 5 { 4.0 } else { 2.0 };
        page.line([DVec2::new(x + d, y), DVec2::new(x + d, y + l)], LINE);
        page.line([DVec2::new(x, y + d), DVec2::new(x + l, y + d)], LINE);
    }
    // Four inches along the bottom.
    let four = 101.6;
    page.line([DVec2::new(x, y + SQUARE + 3.0), DVec2::new(x + four, y + SQUARE + 3.0)], LINE);
    for k in 0..=4 {
        let d = k as f64 * 25.4;
        page.line([DVec2::new(x + d, y + SQUARE + 1.5), DVec2::new(x + d, y + SQUARE + 4.5)], LINE);
    }
    page.text(x + 8.0, y + 40.0, 4.6, "Measure this first").bold();
    page.text(x + 8.0, y + 47.0, 3.2, "The square is 100 mm wide and 100 mm high.");
    page.text(x + 8.0, y + 52.0, 3.2, "The rule below it is 4 in long.");
    page.text(x + 8.0, y + 57.0, 3.2, "If not: print again at 100 %, not fitted to the page.");
    let (tx, w) = (x + SQUARE + 8.0, s.right() - x - SQUARE - 8.0);
    let words = [
        "Cut the template out along the bold line and wrap it round the outside of the tube, print outward. The two \
         upright edges meet on the tube's scribe line. The arrow points out of the tube.",
        "Cut the tube square to its wall along the bold line. The dashed line is where the outside would end if the \
         cut followed the other tube's surface through the wall: grind down to it outside after the cut, if the weld \
         wants it.",
        "Box tube: right, bottom and left name the middles of its faces as seen from start to end, the scribe line being \
         on top; short ticks show where the flats end.",
        "90, 180, 270: the turn from the scribe line, clockwise looking from start to end. On paper it rises to the right \
         at an end, to the left at a start.",
        "Every page that follows has 100 mm rules across and up: measure both on each.",
        "Where a tube is wider round than the page, its parts overlap by 10 mm: lay the dashed edges on the thin lines.",
        "Paper of 0.1 mm leaves a gap of about 0.3 mm where its edges should meet on a round tube: share it out.",
    ];
    let mut yy = y;
    for text in words {
        for l in s.faces[0].wrap(text, 3.2, w) {
            yy += 4.4;
            s.page().text(tx, yy, 3.2, l);
        }
        yy += 2.0;
    }
    s.y = (y + SQUARE + 10.0).max(yy + 4.0);
}

/// A stretch that one page shows, from and to, mm.
type Span = (f64, f64);

/// A stretch cut into parts that overlap, none longer than `room`.
fn spans(from: f64, to: f64, room: f64) -> Vec<Span> {
    let whole = to - from;
    let n = if whole <= room { 1 } else { ((whole - OVERLAP) / (room - OVERLAP)).ceil() as usize };
    (0..n).map(|k| from + k as f64 * (room - OVERLAP)).map(|a| (a, (a + room).min(to))).collect()
}

/// Most pages for one end: a cut that is longer is a slip in the design, and no one would paste it together.
const MOST: usize = 24;

/// Room over a template for its title and under it, mm.
const TITLED: f64 = 14.0;

fn template(s: &mut Sheets, shelf: &mut Shelf, p: &Piece, end: End, t: &Text) {
    let e = p.end(end);
    let cut = printed(p, end, |f| f.radial);
    let contact = printed(p, end, |f| f.outer);
    let top = cut.iter().chain(&contact).map(|q| q.y).fold(0.0, f64::max);
    let around = perimeter(&p.size) * 1e3;
    let columns = spans(0.0, around, s.width() - 2.0 - UPRIGHT);
    let rows = spans(-HOLD, top, s.bottom() - s.top() - RULES - TITLED);
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
        let corner = shelf.place(s, column.1 - column.0, row.1 - row.0 + TITLED);
        let (x0, base) = (corner.x, corner.y + 8.0 + row.1);
        let place = |q: DVec2| DVec2::new(x0 + q.x - column.0, base - q.y);
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
        // Up to the next template's place, or to the edge where none has room.
        let all = s.width() - 1.0 - UPRIGHT;
        let wide = (column.1 - column.0).max(LEAST.min(all));
        let wide = if 2.0 * wide + APART <= all || corner.x > s.left() + 1.0 { wide } else { all };
        let title = format!("{} {} · {}{part}", p.number, p.name, end.word());
        heading(s, &title, p, e, t, (corner, wide));
        let page = s.page();
        // Upright edges, on the scribe line or at the tile's end.
        for (x, scribe) in [(column.0, column.0 == 0.0), (column.1, column.1 == around)] {
            let pen = if scribe { Pen::new(Ink::Accent, 0.3) } else { THIN.dashed(1.5) };
            let high = clip(&cut, x, x).first().map_or(0.0, |q| q.y).min(row.1);
            if high > row.0 {
                page.line([place(DVec2::new(x, high)), place(DVec2::new(x, row.0))], pen);
            }
        }
        let level = |y: f64| [place(DVec2::new(column.0, y)), place(DVec2::new(column.1, y))];
        page.line(level(row.0), if row.0 == -HOLD { LINE } else { THIN.dashed(1.5) });
        if row.1 < top {
            page.line(level(row.1), THIN);
        }
        for (line, pen) in [(&contact, THIN.dashed(0.8)), (&cut, CUT)] {
            for run in band(&clip(line, column.0, column.1), row) {
                page.line(run.into_iter().map(place).collect::<Vec<_>>(), pen);
            }
        }
        if row.0 == -HOLD {
            marks(page, p, end, column, &place, base);
        }
    }
}

/// The title of a template, with what the cut is beside it where there is room.
fn heading(s: &mut Sheets, title: &str, p: &Piece, e: &EndCut, t: &Text, (at, room): (DVec2, f64)) {
    let (x, y) = (at.x, at.y + 4.0);
    let size = if s.faces[1].width(title, 3.2) > room { SMALL } else { 3.2 };
    let title = s.faces[1].fit(title, size, room);
    let after = s.faces[1].width(&title, size) + 3.0;
    let label = format!("{} · {} to {} · {} round", p.section, e.kind, e.to.join(", "), t.fine(perimeter(&p.size)));
    s.page().text(x, y, size, title).bold();
    if room - after > 20.0 {
        let label = s.faces[0].fit(&label, SMALL, room - after);
        s.page().text(x + after, y, SMALL, label).ink(Ink::Grey);
    }
}

/// The runs of a line whose heights lie within a band, cut at its edges.
fn band(points: &[DVec2], (lo, hi): Span) -> Vec<Vec<DVec2>> {
    let mut out: Vec<Vec<DVec2>> = Vec::new();
    let mut run: Vec<DVec2> = Vec::new();
    for w in points.windows(2) {
        let (a, b) = (w[0], w[1]);
        let rise = b.y - a.y;
        // Part of this stretch within the band.
        let (mut f, mut g) = if rise == 0.0 { (0.0, 1.0) } else { ((lo - a.y) / rise, (hi - a.y) / rise) };
        if rise < 0.0 {
            std::mem::swap(&mut f, &mut g);
        }
        let outside = rise == 0.0 && !(lo..=hi).contains(&a.y);
        let (f, g) = (f.max(0.0), g.min(1.0));
        if outside || f > g {
            out.extend((run.len() > 1).then(|| std::mem::take(&mut run)));
            run.clear();
            continue;
        }
        if run.is_empty() {
            run.push(if f > 0.0 { a.lerp(b, f) } else { a });
        }
        run.push(if g < 1.0 { a.lerp(b, g) } else { b });
        if g < 1.0 {
            out.push(std::mem::take(&mut run));
        }
    }
    out.extend((run.len() > 1).then_some(run));
    out
}

/// The part of a line over `[from, to]`, its ends interpolated.
fn clip(points: &[DVec2], from: f64, to: f64) -> Vec<DVec2> {
    let at = |x: f64| {
        let k = points.partition_point(|q| q.x < x).clamp(1, points.len() - 1);
        let (a, b) = (points[k - 1], points[k]);
        let f = if b.x > a.x { ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0) } else { 0.0 };
        a.lerp(b, f)
    };
    let mut out = vec![at(from)];
    out.extend(points.iter().copied().filter(|q| q.x > from && q.x < to));
    if to > from {
        out.push(at(to));
    }
    out
}

/// Quarter marks (or the middles of a box's faces and its corners), the arrow and the words on the paper.
fn marks(page: &mut Page, p: &Piece, end: End, span: (f64, f64), place: &dyn Fn(DVec2) -> DVec2, base: f64) {
    let around = perimeter(&p.size) * 1e3;
    let ticks: Vec<(f64, String)> = match p.size {
        SectionShape::Round { .. } => {
            [90, 180, 270].iter().map(|a| (around * f64::from(*a) / 360.0, a.to_string())).collect()
        }
        SectionShape::Box { width, height, corner, .. } => {
            let (w, h) = (1e3 * (width - 2.0 * corner), 1e3 * (height - 2.0 * corner));
            let c = 1e3 * corner * std::f64::consts::FRAC_PI_2;
            let side = w / 2.0 + c + h / 2.0;
            vec![(side, "right".into()), (around / 2.0, "bottom".into()), (around - side, "left".into())]
        }
    };
    for (round, name) in ticks {
        let x = across(p, end, round);
        if x > span.0 && x < span.1 {
            let q = place(DVec2::new(x, 0.0));
            page.line([DVec2::new(q.x, base + HOLD - 7.0), DVec2::new(q.x, base + HOLD)], THIN);
            page.text(q.x + 1.0, base + HOLD - 2.0, SMALL, name).ink(Ink::Grey);
        }
    }
    if span.0 == 0.0 {
        let q = place(DVec2::new(0.0, 0.0));
        page.text(q.x + 1.2, base + HOLD - 2.0, SMALL, "scribe line").ink(Ink::Accent);
    }
    if let SectionShape::Box { width, height, corner, .. } = p.size {
        // Where the flats end and the corners begin.
        let (w, h) = (1e3 * (width - 2.0 * corner), 1e3 * (height - 2.0 * corner));
        let c = 1e3 * corner * std::f64::consts::FRAC_PI_2;
        let mut round = w / 2.0;
        for flat in [h, w, h, w] {
            for x in [across(p, end, round), across(p, end, round + c)] {
                if x > span.0 && x < span.1 {
                    let q = place(DVec2::new(x, 0.0));
                    page.line([DVec2::new(q.x, base + HOLD - 3.0), DVec2::new(q.x, base + HOLD)], THIN);
                }
            }
            round += c + flat;
        }
    }
    let short = p.end(end).profile.fibres.iter().min_by(|a, b| a.radial.total_cmp(&b.radial));
    let short = short.map(|f| across(p, end, f.round * 1e3));
    if let Some(x) = short.filter(|x| *x > span.0 && *x < span.1) {
        let q = place(DVec2::new(x, 0.0));
        page.line([DVec2::new(q.x - 1.2, q.y + 3.2), q, DVec2::new(q.x + 1.2, q.y + 3.2)], LINE);
        page.text(q.x, q.y + 6.0, SMALL, "short").anchor(Anchor::Middle);
    }
    // The arrow out of the tube, clear of that mark.
    let at = |part: f64| span.0 + part * (span.1 - span.0);
    let part = if short.is_some_and(|x| (x - at(0.07)).abs() < 8.0) { 0.3 } else { 0.07 };
    let q = place(DVec2::new(at(part), 0.0));
    let (tip, tail) = (DVec2::new(q.x, base + 6.0), DVec2::new(q.x, base + 15.0));
    page.line([tail, tip], LINE);
    page.line([tip + DVec2::new(-1.2, 2.4), tip, tip + DVec2::new(1.2, 2.4)], LINE);
    page.text(q.x + 2.0, base + 12.0, SMALL, "out").ink(Ink::Grey);
}
