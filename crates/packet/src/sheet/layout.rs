//! Sheets of one packet: margins, heads and feet, tables, running text.

use design::Paper;
use glam::DVec2;

use super::face::Face;
use super::page::{Anchor, Ink, Page, Pen, RULE};

/// Paper left free at the edges, mm: what common printers can't reach, and a hole punch.
pub const MARGIN: f64 = 12.0;
/// Room for the foot, mm.
const FOOT: f64 = 7.0;
/// Size of running text, mm.
pub const BODY: f64 = 3.2;
/// Size of small text, mm.
pub const SMALL: f64 = 2.6;
/// Size of headings, mm.
pub const HEAD: f64 = 4.6;

/// What a packet is of.
#[derive(Clone, Debug, PartialEq)]
pub struct Identity {
    /// Name of the design file.
    pub file: String,
    /// SHA-256 of its text, in hexadecimal.
    pub hash: String,
    /// Files of skins that it rests on, each with the SHA-256 of its bytes in hexadecimal; none if it can't be read.
    pub skins: Vec<(String, Option<String>)>,
    /// Day of printing, as `2026-11-25`.
    pub date: String,
    /// Version of the program.
    pub version: String,
    /// The address at which a phone finds a piece, with [`super::code::PIECE`] for its name; on every label as a code.
    pub link: Option<String>,
}

/// Pages being laid out, with a place on the last one.
pub struct Sheets {
    /// The pages.
    pub pages: Vec<Page>,
    /// Regular and bold.
    pub faces: [Face; 2],
    /// The paper, upright.
    paper: DVec2,
    /// The page in hand.
    size: DVec2,
    /// Height at which the next thing goes, mm.
    pub y: f64,
}

impl Sheets {
    /// No page yet.
    pub fn new(paper: Paper) -> Result<Sheets, String> {
        let size = match paper {
            Paper::A4 => DVec2::new(210.0, 297.0),
            Paper::Letter => DVec2::new(215.9, 279.4),
        };
        Ok(Sheets { pages: Vec::new(), faces: [Face::new(false)?, Face::new(true)?], paper: size, size, y: 0.0 })
    }

    /// Left edge of the text.
    pub fn left(&self) -> f64 {
        MARGIN
    }

    /// Right edge of the text.
    pub fn right(&self) -> f64 {
        self.size.x - MARGIN
    }

    /// Width between them.
    pub fn width(&self) -> f64 {
        self.size.x - 2.0 * MARGIN
    }

    /// Lowest place for anything but the foot.
    pub fn bottom(&self) -> f64 {
        self.size.y - MARGIN - FOOT
    }

    /// Highest place.
    pub fn top(&self) -> f64 {
        MARGIN
    }

    /// Begins a page.
    pub fn start(&mut self, title: &str) {
        self.size = self.paper;
        self.push(title);
    }

    /// Begins a page that lies on its long side.
    pub fn start_across(&mut self, title: &str) {
        self.size = DVec2::new(self.paper.y, self.paper.x);
        self.push(title);
    }

    fn push(&mut self, title: &str) {
        self.pages.push(Page { width: self.size.x, height: self.size.y, title: title.to_owned(), items: Vec::new() });
        self.y = MARGIN;
    }

    /// The page in hand.
    pub fn page(&mut self) -> &mut Page {
        if self.pages.is_empty() {
            self.start("");
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    /// Begins another page of the same title if less than `height` is left.
    pub fn need(&mut self, height: f64) {
        if self.y + height > self.bottom() {
            self.again();
        }
    }

    /// Begins another page of the same title and the same way up.
    fn again(&mut self) {
        let title = self.page().title.clone();
        self.push(&title);
    }

    /// A heading.
    pub fn heading(&mut self, text: &str) {
        self.need(3.0 * HEAD);
        // Room over it, but not at the head of a page.
        self.y += if self.y > MARGIN { HEAD * 1.6 } else { HEAD * 1.2 };
        for (k, line) in self.faces[1].wrap(text, HEAD, self.width()).into_iter().enumerate() {
            self.y += if k > 0 { HEAD * 1.3 } else { 0.0 };
            let (x, y) = (self.left(), self.y);
            self.page().text(x, y, HEAD, line).bold();
        }
        self.y += HEAD * 0.6;
    }

    /// Running text, wrapped to the width.
    pub fn paragraph(&mut self, text: &str, size: f64, ink: Ink) {
        let lines = self.faces[0].wrap(text, size, self.width());
        for line in lines {
            self.need(size * 1.5);
            self.y += size * 1.35;
            let (x, y) = (self.left(), self.y);
            self.page().text(x, y, size, line).ink(ink);
        }
        self.y += size * 0.5;
    }

    /// A table. Columns take the width of their widest cell; if that is too much, those marked as text are wrapped.
    pub fn table(&mut self, columns: &[Column<'_>], rows: &[Vec<String>], size: f64) {
        const GAP: f64 = 3.0;
        // A cell as wide as its column stays whole in spite of rounding, mm.
        const WHOLE: f64 = 1e-6;
        let natural: Vec<f64> = columns
            .iter()
            .enumerate()
            .map(|(i, c)| {
                let head = self.faces[1].width(c.head, size);
                let cell = |r: &Vec<String>| match c.ticks {
                    true => boxes(&r[i]) as f64 * BOXES * size,
                    false => self.faces[0].width(&r[i], size),
                };
                rows.iter().map(cell).fold(head, f64::max)
            })
            .collect();
        let room = self.width() - GAP * (columns.len() as f64 - 1.0);
        // If prose alone can't give way, wide columns of words do too.
        const LEAST: f64 = 20.0;
        let sum = |f: &dyn Fn(usize) -> f64| (0..columns.len()).map(f).sum::<f64>();
        let prose = sum(&|i| if columns[i].wraps { natural[i].min(LEAST) } else { natural[i] }) <= room;
        let gives = |i: usize| columns[i].wraps || (!prose && !columns[i].right && natural[i] > LEAST);
        let fixed = sum(&|i| if gives(i) { 0.0 } else { natural[i] });
        let loose: Vec<f64> = (0..columns.len()).filter(|i| gives(*i)).map(|i| natural[i]).collect();
        let level = level(&loose, room - fixed);
        let widths: Vec<f64> =
            natural.iter().enumerate().map(|(i, w)| if gives(i) { w.min(level) + WHOLE } else { *w }).collect();
        let starts: Vec<f64> = widths
            .iter()
            .scan(self.left(), |x, w| {
                let at = *x;
                *x += w + GAP;
                Some(at)
            })
            .collect();
        let place = |i: usize| match columns[i].right {
            true => (starts[i] + widths[i], Anchor::Right),
            false => (starts[i], Anchor::Left),
        };
        let head = |s: &mut Sheets| {
            s.y += size * 1.6;
            let y = s.y;
            for (i, c) in columns.iter().enumerate() {
                let (x, anchor) = place(i);
                s.page().text(x, y, size, c.head).bold().anchor(anchor);
            }
            s.y += size * 0.6;
            let (l, r, y) = (s.left(), s.right(), s.y);
            s.page().line([DVec2::new(l, y), DVec2::new(r, y)], Pen::new(Ink::Black, 0.3));
        };
        self.need(size * 6.0);
        head(self);
        let broken: Vec<(Vec<Vec<String>>, f64)> = rows
            .iter()
            .map(|row| {
                let cells: Vec<Vec<String>> = row
                    .iter()
                    .enumerate()
                    .map(|(i, t)| if gives(i) { self.faces[0].wrap(t, size, widths[i]) } else { vec![t.clone()] })
                    .collect();
                let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
                (cells, size * (1.3 * lines as f64 + 0.6))
            })
            .collect();
        for (n, (row, (cells, height))) in rows.iter().zip(&broken).enumerate() {
            let height = *height;
            // The last row does not go to the next page alone: the one before it goes with it.
            let last = broken.get(n + 1).filter(|_| n > 0 && n + 2 == broken.len()).map_or(0.0, |b| b.1);
            if self.y + height + last > self.bottom() {
                self.again();
                head(self);
            }
            for (i, cell) in cells.iter().enumerate() {
                let (x, anchor) = place(i);
                if columns[i].ticks {
                    let side = DVec2::splat(size);
                    for k in 0..boxes(&row[i]) {
                        let at = DVec2::new(x + BOXES * size * k as f64, self.y + 0.4 * size);
                        self.page().rect(at, side, None, Some(RULE_OF_BOXES));
                    }
                    continue;
                }
                for (k, line) in cell.iter().enumerate() {
                    let y = self.y + size * 1.3 * (k as f64 + 1.0);
                    self.page().text(x, y, size, line.clone()).anchor(anchor);
                }
            }
            self.y += height;
            let (l, r, y) = (self.left(), self.right(), self.y);
            self.page().line([DVec2::new(l, y), DVec2::new(r, y)], RULE);
        }
        self.y += size;
    }

    /// Puts the foot on every page.
    pub fn finish(&mut self, name: &str, id: &Identity) {
        let count = self.pages.len();
        let hash = id.hash.get(..12).unwrap_or(&id.hash);
        for (i, p) in self.pages.iter_mut().enumerate() {
            let (left, right, y) = (MARGIN, p.width - MARGIN, p.height - MARGIN + 1.5);
            p.line([DVec2::new(left, y - 4.2), DVec2::new(right, y - 4.2)], RULE);
            let end = format!("{hash} · {} · sheet {} of {count}", id.date, i + 1);
            let room = right - left - self.faces[0].width(&end, SMALL) - 6.0;
            let file = self.faces[0].fit(&id.file, SMALL, 0.4 * room);
            let mark = format!("{file} · {end}");
            let room = right - left - self.faces[0].width(&mark, SMALL) - 3.0;
            let title = format!(" · {}", p.title);
            let name = self.faces[0].fit(name, SMALL, room - self.faces[0].width(&title, SMALL));
            p.text(left, y, SMALL, format!("{name}{title}")).ink(Ink::Grey);
            p.text(right, y, SMALL, mark).ink(Ink::Grey).anchor(Anchor::Right);
        }
    }
}

/// The greatest width that columns may have so that together they take `room`: the narrow ones stay whole, the wide ones
/// give way. Never less than a twentieth of what is wanted, so that something can be read.
fn level(natural: &[f64], room: f64) -> f64 {
    let mut sorted = natural.to_vec();
    sorted.sort_by(f64::total_cmp);
    let (mut left, mut level) = (room, f64::INFINITY);
    for (k, w) in sorted.iter().enumerate() {
        level = left / (sorted.len() - k) as f64;
        if *w > level {
            break;
        }
        (left, level) = (left - w, f64::INFINITY);
    }
    level.max(0.05 * sorted.last().copied().unwrap_or(0.0))
}

/// From one box to tick to the next, as a part of the text's size.
const BOXES: f64 = 1.5;

/// How many boxes a cell holds.
fn boxes(cell: &str) -> usize {
    cell.parse().unwrap_or(0)
}

/// Line of boxes to tick.
const RULE_OF_BOXES: Pen = Pen::new(Ink::Black, 0.2);

/// A column of a table.
#[derive(Clone, Copy, Debug)]
pub struct Column<'a> {
    /// Its head.
    pub head: &'a str,
    /// Set to the right, as numbers are.
    pub right: bool,
    /// May be wrapped.
    pub wraps: bool,
    /// Cells hold how many boxes to tick are drawn there.
    pub ticks: bool,
}

/// A column of words that stay on one line.
pub const fn word(head: &str) -> Column<'_> {
    Column { head, right: false, wraps: false, ticks: false }
}

/// A column of numbers.
pub const fn number(head: &str) -> Column<'_> {
    Column { head, right: true, wraps: false, ticks: false }
}

/// A column of text that may be wrapped.
pub const fn prose(head: &str) -> Column<'_> {
    Column { head, right: false, wraps: true, ticks: false }
}

/// A column of boxes to tick: its cells say how many.
pub const fn tick(head: &str) -> Column<'_> {
    Column { head, right: false, wraps: false, ticks: true }
}
