//! One card per piece: its picture, its lengths, both ends, its bends, and a label to tape on the tube.

use cutting::{EndCut, Piece, SetUp};
use glam::DVec2;
use review::ends::{self, Ends};
use review::{Review, Text, steel, ways_in};
use shape::End;

use crate::fitting;

use super::code::{Code, PIECE};
use super::layout::{BODY, SMALL, Sheets};
use super::page::{Anchor, BOLD, Ink, LINE, RULE, THIN};
use super::{bending, build, settings, sketch, views};

/// Height of a card from its head to its ends, mm, with one line of notes.
const ABOVE: f64 = 67.0;
/// Size of a piece's name, mm.
const NAME: f64 = 5.6;
/// Height that ends have at least, mm: the end-on sketch.
const ENDS: f64 = 37.0;
/// Most lines of notes: a card is no place for an essay.
const NOTES: usize = 6;
/// Size of an end's settings, mm.
const STRONG: f64 = 3.8;
/// Height of the label strip, mm; with a code it is as high as that.
const LABEL: f64 = 9.0;
/// Room over it, mm.
const OVER_LABEL: f64 = 2.0;
/// Step of lines of notes and of an end's heading, mm.
const STEP: f64 = 4.3;
/// From the left of an end's half to its words, mm: the sketch stands there.
const SKETCH: f64 = 39.0;

/// All cards, two to a page where their words leave room.
pub fn draw(s: &mut Sheets, r: &Review, ways: &Ends, t: &Text, link: Option<&str>) {
    s.start("cards");
    for p in &r.cutting.pieces {
        let words = Words::of(s, r, ways, p, t);
        // A link that no code can hold is left out.
        let code = link.and_then(|l| Code::new(&l.replace(PIECE, &p.name)));
        s.need(words.height(p) + labels_height(r, p, code.as_ref()));
        card(s, r, p, t, &words, code.as_ref());
        s.y += 6.0;
    }
}

/// A line of an end's words.
struct Line {
    /// A setting, set large and bold.
    strong: bool,
    /// Size of the face, mm.
    size: f64,
    /// Distance of its base line below the one before, mm.
    down: f64,
    text: String,
}

/// A line under a card's head.
struct Note {
    /// What changes how the piece is cut: set in bold, never left out.
    strong: bool,
    text: String,
}

/// What a card says, broken into lines: nothing is cut short, the card grows instead.
struct Words {
    name: String,
    /// Section, material, mass and stick, beside the name; empty if they stand with the notes.
    made: String,
    notes: Vec<Note>,
    heads: [Vec<String>; 2],
    ends: [Vec<Line>; 2],
    /// What the ends' sketches show.
    turns: [Vec<sketch::Direction>; 2],
    bending: Vec<String>,
}

impl Words {
    fn of(s: &Sheets, r: &Review, ways: &Ends, p: &Piece, t: &Text) -> Words {
        let from = steel::marks(&r.stock, &p.name).map_or("no stick".to_owned(), |m| match m.contains('+') {
            true => format!("sticks {m}"),
            false => format!("stick {m}"),
        });
        let name = format!("{}  {}", p.number, p.name);
        let mut made = format!("{}, {} · {} · {} · {from}", p.section, dimensions(p, t), p.material, t.mass(p.mass));
        let mut notes = Vec::new();
        if s.faces[1].width(&name, NAME) + s.faces[0].width(&made, BODY) + 4.0 > s.width() {
            notes.push(std::mem::take(&mut made));
        }
        if let Some(of) = &p.twin_of {
            notes.push(format!("mirror image of {of}"));
        }
        if p.state == design::TubeState::Temporary {
            notes.push("temporary: tack it, cut it out again".into());
        }
        if let Some(i) = r.ways_in.as_ref().and_then(|l| l.iter().find(|i| i.piece == p.name)) {
            notes.push(format!("goes in: {}", ways_in::line(r, i, t)));
        }
        notes.extend(p.note.clone());
        let mut strong = Vec::new();
        strong.extend(steel::joined(&r.stock, &p.name, |m| t.cut(m)));
        strong.extend(build::instead(s, r, p, t));
        let half = half(s);
        let head = |e: &EndCut| {
            let mut to = e.kind.to_owned();
            if !e.to.is_empty() {
                to += &format!(" to {}", e.to.join(", "));
                if e.gap > 0.0 {
                    to += &format!("; root gap {}", t.fine(e.gap));
                }
            }
            s.faces[0].wrap(&to, BODY, half - 14.0)
        };
        let lines = |end: End| {
            let e = p.end(end);
            let mut out = Vec::new();
            let mut seats = fitting::seats(r, p, end);
            let small = |text: &str| {
                let lines = s.faces[0].wrap(text, SMALL, half - SKETCH);
                lines.into_iter().map(|text| Line { strong: false, size: SMALL, down: 3.6, text })
            };
            for (k, set) in e.setups.iter().enumerate() {
                for (i, (strong, text)) in settings::words(set, k + 1, p, end, t).into_iter().enumerate() {
                    if !strong {
                        out.extend(small(&text));
                        continue;
                    }
                    for (j, text) in s.faces[1].wrap(&text, STRONG, half - SKETCH).into_iter().enumerate() {
                        let apart = if k > 0 && i == 0 && j == 0 { 1.6 } else { 0.0 };
                        out.push(Line { strong, size: STRONG, down: 4.6 + apart, text });
                    }
                }
                // Where it sits stands with the set-up for that tube.
                for seat in seats.extract_if(.., |x| settings::against(set) == Some(&x.on)) {
                    out.extend(small(&settings::seat(r, &seat, t)));
                }
            }
            for seat in seats {
                out.extend(small(&settings::seat(r, &seat, t)));
            }
            let simplest = ways.way(&p.name, end).map_or(String::new(), |x| ends::line(r, p, x, t));
            if !simplest.is_empty() {
                out.extend(small(&simplest));
            }
            if e.setups.is_empty() {
                out.push(Line { strong: true, size: STRONG, down: 4.6, text: "meets nothing".into() });
                out.extend(small("no setting: see the findings first"));
            }
            if e.left_long > 0.0 {
                out.extend(small(&format!("leave {} {} long, square", t.cut(e.left_long), t.unit())));
            }
            if e.profile.missing > MISSING {
                out.extend(small(&format!("{:.0} % of the wall misses", 100.0 * e.profile.missing)));
            }
            out
        };
        Words {
            name,
            made,
            notes: lines_of(s, &strong, &notes),
            heads: [0, 1].map(|k| head(&p.ends[k])),
            ends: End::BOTH.map(lines),
            turns: End::BOTH.map(|end| settings::turns(p.end(end), t)),
            bending: p.bends.as_ref().map_or_else(Vec::new, |b| bending::words(s, b, t)),
        }
    }

    /// What the notes take beyond one line, mm.
    fn pushed(&self) -> f64 {
        STEP * (self.notes.len() as f64 - 1.0).max(0.0)
    }

    /// What the ends' headings take beyond one line, mm.
    fn headed(&self) -> f64 {
        STEP * (self.heads.iter().map(Vec::len).max().unwrap_or(1) as f64 - 1.0).max(0.0)
    }

    /// Height of the ends, mm.
    fn ends(&self) -> f64 {
        let tall = |lines: &Vec<Line>| 4.0 + lines.iter().map(|l| l.down).sum::<f64>();
        self.headed() + self.ends.iter().map(tall).fold(ENDS, f64::max)
    }

    /// Height of the card, mm.
    fn height(&self, p: &Piece) -> f64 {
        let bends = p.bends.as_ref().map_or(0.0, |b| bending::height(b, &self.bending));
        ABOVE + self.pushed() + self.ends() + bends
    }
}

/// What changes how the piece is cut, then the notes.
fn lines_of(s: &Sheets, strong: &[String], notes: &[String]) -> Vec<Note> {
    let first = strong.iter().flat_map(|text| s.faces[1].wrap(text, BODY, s.width()));
    let rest = if notes.is_empty() { Vec::new() } else { short(s.faces[0].wrap(&notes.join(" · "), BODY, s.width())) };
    let first = first.map(|text| Note { strong: true, text });
    first.chain(rest.into_iter().map(|text| Note { strong: false, text })).collect()
}

/// Notes with their tail left out if they are too long, and a word that it is.
fn short(mut lines: Vec<String>) -> Vec<String> {
    if lines.len() > NOTES {
        lines.truncate(NOTES - 1);
        lines.push("… the rest of this note stands in the design file.".into());
    }
    lines
}

/// A part of the wall that misses and is worth a word, as the findings' own threshold.
const MISSING: f64 = 0.02;

/// Width of one end's half of the card, mm.
fn half(s: &Sheets) -> f64 {
    (s.width() - 6.0) / 2.0
}

fn card(s: &mut Sheets, r: &Review, p: &Piece, t: &Text, words: &Words, code: Option<&Code>) {
    let (left, right, top) = (s.left(), s.right(), s.y);
    let tube = &r.shape.tubes[p.tube];
    let page = s.page();
    page.line([DVec2::new(left, top), DVec2::new(right, top)], BOLD);
    page.text(left, top + 7.0, NAME, words.name.clone()).bold();
    page.text(right, top + 6.5, BODY, words.made.clone()).anchor(Anchor::Right);
    for (k, line) in words.notes.iter().enumerate() {
        let y = top + 12.0 + STEP * k as f64;
        match line.strong {
            true => page.text(left, y, BODY, line.text.clone()).bold(),
            false => page.text(left, y, BODY, line.text.clone()).ink(Ink::Grey),
        };
    }
    let top = top + words.pushed();
    // The picture, with the frame in small beside it.
    let small = 44.0;
    views::small(s.page(), r, p.tube, DVec2::new(right - small, top + 14.0), small, 30.0);
    sketch::side(s.page(), p, tube, DVec2::new(left, top + 16.0), DVec2::new(right - left - small - 6.0, 27.0));
    lengths(s, p, t, top + 52.0);
    draw_ends(s, r, p, words, top + ABOVE);
    s.y = top + ABOVE + words.ends();
    if let Some(b) = &p.bends {
        bending::draw(s, p, tube, b, &words.bending, t);
        s.need(labels_height(r, p, code));
    }
    let parts = steel::places(&r.stock, &p.name);
    if parts.len() < 2 {
        return label(s, &format!("{}  {}", p.number, p.name), &rest(p, p.lengths.over_long, t), code);
    }
    // Each part is taped by itself until they are joined.
    for (k, (stick, cut)) in parts.iter().enumerate() {
        let name = format!("{}  {}  part {} of {}", p.number, p.name, k + 1, parts.len());
        let rest = format!("{} · {}", rest(p, cut.to - cut.from, t), stick.mark);
        label(s, &name, &rest, code);
    }
}

/// What stands behind the name on a label.
fn rest(p: &Piece, length: f64, t: &Text) -> String {
    format!("{} · {}", p.section, t.length_unit(length))
}

/// Height of a piece's labels: of a joined one each part has its own, mm.
fn labels_height(r: &Review, p: &Piece, code: Option<&Code>) -> f64 {
    steel::places(&r.stock, &p.name).len().max(1) as f64 * label_height(code)
}

/// Width of a column of the smaller lengths, mm; with decimals beside its fractions.
const COLUMN: [f64; 2] = [56.0, 61.0];
const DEVELOPED: &str = "developed, before bending";

fn lengths(s: &mut Sheets, p: &Piece, t: &Text, y: f64) {
    let (left, right) = (s.left(), s.right());
    let l = &p.lengths;
    let big = t.length(l.over_long);
    let unit = format!("{} over long points", t.unit());
    // As large as its words and the other lengths leave room for.
    let caption = s.faces[0].width(&unit, BODY).max(s.faces[0].width(DEVELOPED, SMALL));
    let column = COLUMN[usize::from(t.unit() == "in")];
    let room = s.width() - 2.0 * column - caption - 5.0;
    let size = 9.5 * (room / s.faces[1].width(&big, 9.5)).min(1.0);
    let w = s.faces[1].width(&big, size);
    let aside = [p.bends.as_ref().map(|_| DEVELOPED.to_owned()), t.decimal(l.over_long).map(|d| format!("({d})"))];
    s.page().text(left, y + 4.0, size, big).bold();
    s.page().text(left + w + 2.0, y + 4.0, BODY, unit);
    for (k, line) in aside.into_iter().flatten().enumerate() {
        s.page().text(left + w + 2.0, y - 0.5 - 4.0 * k as f64, SMALL, line).ink(Ink::Grey);
    }
    let notched = p.ends.iter().any(|e| e.setups.iter().any(|x| matches!(x, SetUp::HoleSaw { .. })));
    let list = [
        Some(("blank", l.blank, true)),
        Some(("over short points", l.over_short, false)),
        notched.then_some(("between notch centres", l.between_centres, true)),
        Some(("between end points", l.between_points, false)),
        Some(("along the scribe line", l.on_scribe, true)),
        p.bends.is_some().then_some(("straight, end to end", l.chord, false)),
    ];
    for (k, (name, v, cut)) in list.into_iter().flatten().enumerate() {
        let (col, row) = (k % 2, k / 2);
        let x = right - 2.0 * column + col as f64 * column;
        let yy = y - 3.0 + row as f64 * 5.0;
        s.page().text(x, yy, SMALL, name).ink(Ink::Grey);
        let decimal = t.decimal(v).filter(|_| cut).map(|d| format!("({d})"));
        let mut end = x + column - 3.0;
        if let Some(d) = decimal {
            let wide = s.faces[0].width(&d, SMALL);
            s.page().text(end, yy, SMALL, d).anchor(Anchor::Right);
            end -= wide + 1.0;
        }
        s.page().text(end, yy, BODY, t.length(v)).bold().anchor(Anchor::Right);
    }
    s.page().line([DVec2::new(left, y + 9.6), DVec2::new(right, y + 9.6)], RULE);
}

fn draw_ends(s: &mut Sheets, r: &Review, p: &Piece, words: &Words, y: f64) {
    let half = half(s);
    for (k, end) in End::BOTH.into_iter().enumerate() {
        let x = s.left() + k as f64 * (half + 6.0);
        let page = s.page();
        page.text(x, y, BODY, end.word()).bold();
        for (i, line) in words.heads[k].iter().enumerate() {
            page.text(x + 12.0, y + STEP * i as f64, BODY, line.clone());
        }
        let y = y + words.headed();
        let (cut, c) = (p.end(end), DVec2::new(x + 17.0, y + 18.0));
        sketch::end_on(page, &r.shape.tubes[p.tube], end, cut.setups.len(), &words.turns[k], c);
        let mut yy = y + 2.0;
        for line in &words.ends[k] {
            yy += line.down;
            page.text(x + SKETCH, yy, line.size, line.text.clone()).bold = line.strong;
        }
    }
}

/// Outside size and wall, without their unit.
pub fn dimensions(p: &Piece, t: &Text) -> String {
    let n = |v: f64| t.fine_number(v);
    match p.size {
        design::SectionShape::Round { od, wall } => format!("{} × {}", n(od), n(wall)),
        design::SectionShape::Box { width, height, wall, .. } => {
            format!("{} × {} × {}", n(width), n(height), n(wall))
        }
    }
}

/// Height of the label strip with the room over it, mm.
fn label_height(code: Option<&Code>) -> f64 {
    OVER_LABEL + code.map_or(LABEL, |c| c.side().max(LABEL))
}

/// A strip to cut out and tape on the tube.
fn label(s: &mut Sheets, name: &str, rest: &str, code: Option<&Code>) {
    let (x, y, mut w) = (s.left(), s.y + OVER_LABEL, s.width());
    let h = label_height(code) - OVER_LABEL;
    s.page().rect(DVec2::new(x, y), DVec2::new(w, h), None, Some(THIN.dashed(1.2)));
    if let Some(c) = code {
        w -= c.side();
        c.draw(s.page(), DVec2::new(x + w, y));
        s.page().text(x + 3.0, y + h - 3.0, SMALL, "scan to tick it off").ink(Ink::Grey);
    }
    let (from, to) = (DVec2::new(x + w - 34.0, y + 4.5), DVec2::new(x + w - 12.0, y + 4.5));
    let page = s.page();
    page.line([from, to], LINE);
    page.line([to - DVec2::new(3.0, 1.4), to, to - DVec2::new(3.0, -1.4)], LINE);
    page.text(from.x - 1.5, y + 5.5, BODY, "start").anchor(Anchor::Right);
    page.text(to.x + 1.5, y + 5.5, BODY, "end");
    let room = w - 50.0 - s.faces[0].width(rest, BODY);
    let name = s.faces[1].fit(name, 4.6, room);
    let after = x + 6.0 + s.faces[1].width(&name, 4.6);
    let rest = s.faces[0].fit(rest, BODY, from.x - 12.0 - after);
    s.page().text(x + 3.0, y + 6.2, 4.6, name).bold();
    s.page().text(after, y + 6.0, BODY, rest);
    s.y = y + h;
}
