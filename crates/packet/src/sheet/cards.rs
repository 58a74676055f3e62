//! One card per piece: its picture, its lengths, both ends, its bends, and a label to tape on the tube.

use std::f64::consts::TAU;

use cutting::{EndCut, Piece, SetUp, WorkFrom};
use glam::DVec2;
use review::{Review, Text};
use shape::{End, Tube};

use super::layout::{BODY, SMALL, Sheets};
use super::page::{Anchor, BOLD, Ink, LINE, Page, Pen, RULE, THIN};
use super::{bending, views};

const SCRIBE: Pen = Pen::new(Ink::Accent, 0.3);
/// Height of a card from its head to its ends, mm, with one line of notes.
const ABOVE: f64 = 67.0;
/// Size of a piece's name, mm.
const NAME: f64 = 5.6;
/// Height that ends have at least, mm: the end-on sketch.
const ENDS: f64 = 37.0;
/// Height of a bend's row, mm.
const BEND: f64 = 5.0;
/// Most lines of notes: a card is no place for an essay.
const NOTES: usize = 6;
/// Height of the label strip with the room over it, mm.
const LABEL: f64 = 11.0;
/// Step of lines of notes and of an end's heading, mm.
const STEP: f64 = 4.3;
/// From the left of an end's half to its words, mm: the sketch stands there.
const SKETCH: f64 = 41.0;

/// All cards, two to a page where their words leave room.
pub fn draw(s: &mut Sheets, r: &Review, t: &Text) {
    s.start("cards");
    for p in &r.cutting.pieces {
        let words = Words::of(s, r, p, t);
        s.need(words.height(p));
        card(s, r, p, t, &words);
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

/// What a card says, broken into lines: nothing is cut short, the card grows instead.
struct Words {
    name: String,
    /// Section, material, mass and stick, beside the name; empty if they stand with the notes.
    made: String,
    notes: Vec<String>,
    heads: [Vec<String>; 2],
    ends: [Vec<Line>; 2],
}

impl Words {
    fn of(s: &Sheets, r: &Review, p: &Piece, t: &Text) -> Words {
        let from = stick(r, p).map_or("no stick".to_owned(), |m| format!("stick {m}"));
        let name = format!("{}  {}", p.number, p.name);
        let mut made = format!("{} · {} · {} · {from}", p.section, p.material, t.mass(p.mass));
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
        notes.extend(p.note.clone());
        let half = half(s);
        let head = |e: &EndCut| {
            let to = if e.to.is_empty() { e.kind.to_owned() } else { format!("{} to {}", e.kind, e.to.join(", ")) };
            s.faces[0].wrap(&to, BODY, half - 14.0)
        };
        let lines = |e: &EndCut| {
            let mut out = Vec::new();
            for (k, set) in e.setups.iter().enumerate() {
                for (i, (strong, text)) in setup(set, e.setups.len() > 1, t).into_iter().enumerate() {
                    let size = if strong { 3.8 } else { SMALL };
                    for (j, text) in
                        s.faces[usize::from(strong)].wrap(&text, size, half - SKETCH).into_iter().enumerate()
                    {
                        let apart = if k > 0 && i == 0 && j == 0 { 1.6 } else { 0.0 };
                        out.push(Line { strong, size, down: if strong { 4.6 } else { 3.6 } + apart, text });
                    }
                }
            }
            let mut plain = |text: String| {
                for text in s.faces[0].wrap(&text, SMALL, half - SKETCH) {
                    out.push(Line { strong: false, size: SMALL, down: 3.6, text });
                }
            };
            if e.left_long > 0.0 {
                plain(format!("leave {} long, square", t.length_unit(e.left_long)));
            }
            if e.profile.missing > MISSING {
                plain(format!("{:.0} % of the wall misses", 100.0 * e.profile.missing));
            }
            out
        };
        Words {
            name,
            made,
            notes: short(s.faces[0].wrap(&notes.join(" · "), BODY, s.width())),
            heads: [0, 1].map(|k| head(&p.ends[k])),
            ends: [0, 1].map(|k| lines(&p.ends[k])),
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
        let bends = p.bends.as_ref().map_or(0.0, |b| 10.0 + BEND * b.bends.len() as f64 + bending::HEIGHT);
        ABOVE + self.pushed() + self.ends() + bends + LABEL
    }
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

/// Mark of the stick that a piece comes from.
pub fn stick<'a>(r: &'a Review, p: &Piece) -> Option<&'a str> {
    let all = r.stock.sections.iter().flat_map(|s| &s.sticks);
    all.into_iter().find(|k| k.cuts.iter().any(|c| c.name == p.name)).map(|k| k.mark.as_str())
}

fn card(s: &mut Sheets, r: &Review, p: &Piece, t: &Text, words: &Words) {
    let (left, right, top) = (s.left(), s.right(), s.y);
    let tube = &r.shape.tubes[p.tube];
    let page = s.page();
    page.line([DVec2::new(left, top), DVec2::new(right, top)], BOLD);
    page.text(left, top + 7.0, NAME, words.name.clone()).bold();
    page.text(right, top + 6.5, BODY, words.made.clone()).anchor(Anchor::Right);
    for (k, line) in words.notes.iter().enumerate() {
        page.text(left, top + 12.0 + STEP * k as f64, BODY, line.clone()).ink(Ink::Grey);
    }
    let top = top + words.pushed();
    // The picture, with the frame in small beside it.
    let small = 44.0;
    views::small(s.page(), r, p.tube, DVec2::new(right - small, top + 14.0), small, 30.0);
    picture(s.page(), p, tube, DVec2::new(left, top + 16.0), DVec2::new(right - left - small - 6.0, 27.0));
    lengths(s, p, t, top + 52.0);
    ends(s, p, words, top + ABOVE);
    s.y = top + ABOVE + words.ends();
    if p.bends.is_some() {
        bends(s, p, tube, t);
    }
    label(s, p, t);
}

/// Width of a column of the smaller lengths, mm.
const COLUMN: f64 = 56.0;
const DEVELOPED: &str = "developed, before bending";

fn lengths(s: &mut Sheets, p: &Piece, t: &Text, y: f64) {
    let (left, right) = (s.left(), s.right());
    let l = &p.lengths;
    let big = t.length(l.over_long);
    let unit = format!("{} over long points", t.unit());
    // As large as its words and the other lengths leave room for.
    let caption = s.faces[0].width(&unit, BODY).max(s.faces[0].width(DEVELOPED, SMALL));
    let room = s.width() - 2.0 * COLUMN - caption - 5.0;
    let size = 9.5 * (room / s.faces[1].width(&big, 9.5)).min(1.0);
    let w = s.faces[1].width(&big, size);
    let page = s.page();
    page.text(left, y + 4.0, size, big).bold();
    page.text(left + w + 2.0, y + 4.0, BODY, unit);
    if p.bends.is_some() {
        page.text(left + w + 2.0, y - 0.5, SMALL, DEVELOPED).ink(Ink::Grey);
    }
    let list = [
        ("blank from the stick", l.blank),
        ("over short points", l.over_short),
        ("between notch centres", l.between_centres),
        ("along the scribe line", l.on_scribe),
    ];
    for (k, (name, v)) in list.into_iter().enumerate() {
        let (col, row) = (k % 2, k / 2);
        let x = right - 2.0 * COLUMN + col as f64 * COLUMN;
        let yy = y - 1.0 + row as f64 * 5.2;
        page.text(x, yy, SMALL, name).ink(Ink::Grey);
        page.text(x + COLUMN - 2.0, yy, BODY, t.length(v)).bold().anchor(Anchor::Right);
    }
    page.line([DVec2::new(left, y + 8.5), DVec2::new(right, y + 8.5)], RULE);
}

fn ends(s: &mut Sheets, p: &Piece, words: &Words, y: f64) {
    let half = half(s);
    for (k, end) in End::BOTH.into_iter().enumerate() {
        let x = s.left() + k as f64 * (half + 6.0);
        let page = s.page();
        page.text(x, y, BODY, end.word()).bold();
        for (i, line) in words.heads[k].iter().enumerate() {
            page.text(x + 12.0, y + STEP * i as f64, BODY, line.clone());
        }
        let y = y + words.headed();
        end_on(page, p, p.end(end), DVec2::new(x + 19.0, y + 19.0));
        let mut yy = y + 2.0;
        for line in &words.ends[k] {
            yy += line.down;
            page.text(x + SKETCH, yy, line.size, line.text.clone()).bold = line.strong;
        }
    }
}

/// A set-up in lines; strong ones are the settings, on one line where an end has `several` set-ups.
fn setup(set: &SetUp, several: bool, t: &Text) -> Vec<(bool, String)> {
    let settings = |what: &str, angle: f64, turn: f64| {
        let (first, second) = (format!("{what} {}", t.angle(angle)), format!("turn {}", t.turn(turn)));
        if several { vec![(true, format!("{first} {second}"))] } else { vec![(true, first), (true, second)] }
    };
    match set {
        SetUp::Saw { angle, .. } if t.angle(*angle) == "0°" => vec![(true, "saw square".into())],
        SetUp::Saw { angle, scale, turn, against, faces, gap } => {
            let mut out = settings("saw", *angle, *turn);
            out.push((false, format!("scale shows {}", t.angle(*scale))));
            if let Some([top, side]) = faces {
                let dir = |a: f64| t.angle(a.abs());
                out.push((false, format!("on the top face {}, on the side {}", dir(*top), dir(*side))));
            }
            if let Some(a) = against {
                out.push((false, format!("against {a}")));
            }
            if *gap > 1e-5 {
                out.push((false, format!("leaves up to {} at its corners", t.fine(*gap))));
            }
            out
        }
        SetUp::HoleSaw { against, diameter, saw, angle, scale, turn, offset, offset_turn, centre, depth, on_bend } => {
            let mut out = settings("notch", *angle, *turn);
            out.push((false, format!("scale shows {}", t.angle(*scale))));
            out.push((false, format!("{} hole saw for {against}", t.fine(*diameter))));
            let hand =
                saw.map_or(String::new(), |s| format!(", at hand {} × {}", t.fine_number(s.od), t.fine(s.depth)));
            out.push((false, format!("travel {}{hand}", t.length_unit(*depth))));
            if *offset > 0.0 {
                let off = format!("axis {} off centre, towards {}", t.fine(*offset), t.turn(*offset_turn));
                out.push((false, off));
            }
            if centre.abs() > 5e-5 {
                let way = if *centre > 0.0 { "beyond" } else { "short of" };
                out.push((false, format!("saw's centre {} {way} the end point", t.fine(centre.abs()))));
            }
            if *on_bend {
                out.push((false, "the other tube bends here: finish to the template".into()));
            }
            out
        }
        SetUp::Template { against, why } => {
            vec![(true, "template".into()), (false, format!("for {against}")), (false, (*why).into())]
        }
    }
}

/// The end seen looking from start to end: scribe line and short side.
fn end_on(page: &mut Page, p: &Piece, e: &EndCut, c: DVec2) {
    let r = 8.0;
    // Looking along the tube, angles run clockwise; up on the page is the scribe line.
    let at = |turn: f64, d: f64| c + DVec2::new(turn.sin(), -turn.cos()) * d;
    match p.size {
        design::SectionShape::Round { od, wall } => {
            page.circle(c, r, None, Some(LINE));
            page.circle(c, r * (1.0 - 2.0 * wall / od), None, Some(THIN));
        }
        design::SectionShape::Box { width, height, .. } => {
            let k = r / (0.5 * height.max(width));
            let h = DVec2::new(width, height) * k / 2.0;
            page.rect(c - h, h * 2.0, None, Some(LINE));
        }
    }
    page.line([at(0.0, r - 1.5), at(0.0, r + 3.0)], Pen::new(Ink::Accent, 0.6));
    page.text(c.x, c.y - r - 4.0, SMALL, "scribe").ink(Ink::Accent).anchor(Anchor::Middle);
    let turn = e.setups.iter().find_map(|s| match s {
        SetUp::Saw { angle, turn, .. } if *angle > 1e-4 => Some((*turn, true)),
        SetUp::HoleSaw { turn, angle, .. } => Some((*turn, *angle > 1e-3)),
        _ => None,
    });
    if let Some((turn, one)) = turn {
        // The arc of the turn, from the scribe line.
        let n = (turn / TAU * 60.0).ceil().max(1.0) as usize;
        let arc: Vec<DVec2> = (0..=n).map(|k| at(turn * k as f64 / n as f64, r * 0.55)).collect();
        page.line(arc, THIN);
        page.line([c, at(turn, r + 3.0)], BOLD);
        let tip = at(turn, r + 4.0);
        let word = if one { "short" } else { "saw" };
        let anchor = if turn.sin() > 0.5 {
            Anchor::Left
        } else if turn.sin() < -0.5 {
            Anchor::Right
        } else {
            Anchor::Middle
        };
        // Near the scribe line the word stands beside the line, clear of the other word.
        let (tip, anchor) = if turn.cos() > 0.8 {
            let side = if turn.sin() < -1e-9 { -1.0 } else { 1.0 };
            (at(turn, r + 1.5) + DVec2::new(side * 1.5, 0.0), if side > 0.0 { Anchor::Left } else { Anchor::Right })
        } else {
            (tip + DVec2::new(0.0, if turn.cos() < -0.5 { 1.2 } else { 0.6 }), anchor)
        };
        page.text(tip.x, tip.y, SMALL, word).bold().anchor(anchor);
        if !one {
            page.line([c, at(turn + std::f64::consts::PI, r + 3.0)], BOLD);
        }
    }
}

fn bends(s: &mut Sheets, p: &Piece, tube: &Tube, t: &Text) {
    let Some(b) = &p.bends else { return };
    let from = match b.from {
        WorkFrom::Start => "start",
        WorkFrom::End => "end",
    };
    let die = b.die.as_deref().map_or(String::new(), |d| format!(" on die {d}"));
    let extra = if b.grip_extra > 0.0 {
        format!("; {} of it is for the clamp, cut it off afterwards", t.length_unit(b.grip_extra))
    } else {
        String::new()
    };
    let head = format!("Bend{die}, {from} into the clamp first. Marks from the blank's {from}{extra}.");
    let (x, y) = (s.left(), s.y);
    let head = s.faces[0].fit(&head, BODY, s.width());
    s.page().text(x, y + 3.0, BODY, head);
    let width = s.width();
    let columns = ["bend", "mark", "turn the tube", "angle", "set", "scribe line is", "wall out / in"];
    // Shares of the width: the words of the scribe line's column are the longest.
    let shares = [0.09, 0.13, 0.15, 0.12, 0.16, 0.2, 0.15];
    let x = |k: usize| x + shares[..k].iter().sum::<f64>() * width;
    for (k, c) in columns.iter().enumerate() {
        s.page().text(x(k), y + 8.0, SMALL, *c).ink(Ink::Grey);
    }
    s.y = y + 8.0;
    for (i, bend) in b.bends.iter().enumerate() {
        s.need(BEND);
        s.y += BEND;
        let yy = s.y;
        let set = bend
            .setting
            .map_or("-".to_owned(), |v| format!("{}{}", t.angle(v.set), if v.extrapolated { " guess" } else { "" }));
        let side = (TAU - bend.outside).rem_euclid(TAU);
        let side = if t.angle(side) == "0°" || t.angle(side) == "360°" {
            "outside".to_owned()
        } else {
            format!("{} from outside", t.angle(side))
        };
        let cells = [
            (i + 1).to_string(),
            t.length(bend.mark),
            if i == 0 { "-".into() } else { t.angle(bend.rotation) },
            t.angle(bend.angle),
            set,
            side,
            format!("{} / {}", t.fine_number(bend.walls[0]), t.fine_number(bend.walls[1])),
        ];
        for (k, c) in cells.into_iter().enumerate() {
            let strong = matches!(k, 1..=4);
            let c = s.faces[usize::from(strong)].fit(&c, BODY, shares[k] * width - 1.0);
            let text = s.page().text(x(k), yy, BODY, c);
            text.bold = strong;
        }
    }
    bending::draw(s, p, tube, b, t);
    s.y += 2.0;
    s.need(LABEL);
}

/// A strip to cut out and tape on the tube.
fn label(s: &mut Sheets, p: &Piece, t: &Text) {
    let (x, y, w) = (s.left(), s.y + 2.0, s.width());
    let page = s.page();
    page.rect(DVec2::new(x, y), DVec2::new(w, 9.0), None, Some(THIN.dashed(1.2)));
    let arrow = DVec2::new(x + w - 4.0, y + 4.5);
    page.line([arrow - DVec2::new(26.0, 0.0), arrow], LINE);
    page.line([arrow - DVec2::new(3.0, 1.4), arrow, arrow - DVec2::new(3.0, -1.4)], LINE);
    page.text(arrow.x - 27.0, y + 5.5, SMALL, "to the end").anchor(Anchor::Right);
    let text = format!("{}  {}  {}  {}", p.number, p.name, p.section, t.length_unit(p.lengths.over_long));
    let text = s.faces[1].fit(&text, 4.6, w - 50.0);
    s.page().text(x + 3.0, y + 6.2, 4.6, text).bold();
    s.y = y + 9.0;
}

/// The piece from the side, its two ends to one scale and its middle left out if it is long.
fn picture(page: &mut Page, p: &Piece, tube: &Tube, at: DVec2, size: DVec2) {
    // Along the page the tube's length, up the page its scribe line: fibres from 90 to 270 degrees are seen.
    let od = tube.outline.reach() * 2.0;
    let reach = |e: &EndCut| (e.profile.long - e.profile.short).max(od * 0.3);
    let scale = (size.y / (od * 1.9)).min(size.x * 0.36 / reach(&p.ends[0]).max(reach(&p.ends[1])) / 1.6);
    let mid = at.y + size.y / 2.0;
    let edge = |e: &EndCut, x: f64, sign: f64| -> Vec<DVec2> {
        let seen = |f: &cutting::Fibre| {
            let q = tube.outline.point(tube.outline.station(f.round));
            let s = f.outer.max(f.inner) - e.profile.long;
            (q, DVec2::new(x + sign * s * scale, mid - q.x * scale))
        };
        // The near half (v towards the reader) from top to bottom.
        let mut near: Vec<(DVec2, DVec2)> = e.profile.fibres.iter().map(seen).filter(|f| f.0.y >= -1e-12).collect();
        near.sort_by(|a, b| b.0.x.total_cmp(&a.0.x));
        near.into_iter().map(|f| f.1).collect()
    };
    let far = |e: &EndCut, x: f64, sign: f64| -> Vec<DVec2> {
        let mut list: Vec<(f64, DVec2)> = e
            .profile
            .fibres
            .iter()
            .filter_map(|f| {
                let q = tube.outline.point(tube.outline.station(f.round));
                let s = f.outer.max(f.inner) - e.profile.long;
                (q.y <= 1e-12).then_some((q.x, DVec2::new(x + sign * s * scale, mid - q.x * scale)))
            })
            .collect();
        list.sort_by(|a, b| b.0.total_cmp(&a.0));
        list.into_iter().map(|f| f.1).collect()
    };
    let (x0, x1) = (at.x + 4.0, at.x + size.x - 4.0);
    let (a, b) = (edge(&p.ends[0], x0, -1.0), edge(&p.ends[1], x1, 1.0));
    let mut body = a.clone();
    body.extend(b.iter().rev());
    page.area(body, Some(Ink::Tint), None);
    page.line(far(&p.ends[0], x0, -1.0), THIN);
    page.line(far(&p.ends[1], x1, 1.0), THIN);
    let gap = 5.0;
    let middle = 0.5 * (x0 + x1);
    for pick in [0usize, 1] {
        let get = |v: &Vec<DVec2>| if pick == 0 { v.first().copied() } else { v.last().copied() };
        if let (Some(l), Some(r)) = (get(&a), get(&b)) {
            page.line([l, DVec2::new(middle - gap, l.y)], BOLD);
            page.line([DVec2::new(middle + gap, r.y), r], BOLD);
        }
    }
    page.line(a, BOLD);
    page.line(b, BOLD);
    // The middle left out.
    for x in [middle - gap, middle + gap] {
        let h = od * scale / 2.0;
        let wave: Vec<DVec2> = (0..=12)
            .map(|k| k as f64 / 12.0)
            .map(|f| DVec2::new(x + 1.0 * (f * TAU).sin(), mid - h + 2.0 * h * f))
            .collect();
        page.line(wave, THIN);
    }
    page.rect(
        DVec2::new(middle - gap + 1.2, mid - od * scale / 2.0 - 0.5),
        DVec2::new(2.0 * gap - 2.4, od * scale + 1.0),
        Some(Ink::Paper),
        None,
    );
    // The scribe line stands on top.
    let line = |e: &EndCut, x: f64, sign: f64| {
        let f = &e.profile.fibres[0];
        let q = tube.outline.point(tube.outline.station(0.0));
        DVec2::new(x + sign * (f.outer - e.profile.long) * scale, mid - q.x * scale)
    };
    page.line([line(&p.ends[0], x0, -1.0), DVec2::new(middle - gap, line(&p.ends[0], x0, -1.0).y)], SCRIBE);
    page.line([DVec2::new(middle + gap, line(&p.ends[1], x1, 1.0).y), line(&p.ends[1], x1, 1.0)], SCRIBE);
    page.text(middle, mid - od * scale / 2.0 - 1.2, SMALL, "scribe line").ink(Ink::Accent).anchor(Anchor::Middle);
    let y = mid + od * scale / 2.0 + 4.0;
    page.text(x0, y, SMALL, "start").ink(Ink::Grey);
    page.text(x1, y, SMALL, "end").ink(Ink::Grey).anchor(Anchor::Right);
}
