//! The first pages: what this is, what was found, what was not looked at, how to read the rest.

use glam::DVec2;
use review::{Review, Text, summary};
use shape::{Finding, Level};

use super::convention;
use super::layout::{BODY, Identity, SMALL, Sheets, word};
use super::page::{Anchor, Ink, LINE, Page, Pen, RULE};
use super::views::{self, View};

/// Size of the design's name, mm.
const NAME: f64 = 10.0;

const NOT_CHECKED: &str = "Not checked by anything in this packet: welds as made, joints outside the standard's range, fatigue, what a crash does, \
 hands and tools where a piece is put in, and any rule book but those that the design names.";

const CAUTIONS: [&str; 5] = [
    "The numbers are arithmetic on what the design file says. They are no verdict on the design.",
    "A structure that protects a person should be looked at by a licensed engineer. The current rules of your organiser \
     or authority, and its inspector, prevail over anything printed here.",
    "Cut one piece, hold it against the car, then cut the rest. Measure the calibration square before using a template.",
    "Check the wall and outside size of the tube in the rack against the sheet: other tube needs other cuts.",
    "Saws, grinders and welding blind, burn and kill. Eyes, lungs and hands first; mind zinc, oil and closed tubes.",
];

/// Height of what stands on the cover below its picture, mm.
const WORDS: f64 = 163.0;
/// Most findings told on the cover.
const TOLD: usize = 3;

/// Where the contents go, once all sheets are there.
pub struct Contents {
    page: usize,
    y: f64,
}

/// The cover, the findings and the convention.
pub fn draw(s: &mut Sheets, r: &Review, id: &Identity, t: &Text) -> Contents {
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
    let high = (s.bottom() - s.y - WORDS).max(50.0);
    s.need(high + 60.0);
    let y = s.y + 2.0;
    let place = views::place(r, View::slant(), DVec2::new(left, y), DVec2::new(right - left, high), true, false);
    views::draw(s.page(), r, &place);
    s.y = y + high + 3.0;
    figures(s, r, id, t);
    let contents = Contents { page: s.pages.len() - 1, y: s.y };
    s.y += 10.0;
    s.heading("What was found");
    told(s, &r.findings);
    s.heading("What was not checked");
    s.paragraph(NOT_CHECKED, BODY, Ink::Black);
    s.heading("Before you cut");
    for c in CAUTIONS {
        s.paragraph(c, BODY, Ink::Black);
    }
    findings(s, r, t);
    convention::draw(s, t, t.angle(design.limits.round_angle), design.notcher.square_reads_90);
    contents
}

/// Writes on the cover which sheet is where.
pub fn contents(s: &mut Sheets, at: &Contents) {
    let mut list: Vec<(String, usize, usize)> = Vec::new();
    for (i, p) in s.pages.iter().enumerate().skip(1) {
        match list.last_mut() {
            Some(last) if last.0 == p.title => last.2 = i + 1,
            _ => list.push((p.title.clone(), i + 1, i + 1)),
        }
    }
    let one = |(title, a, b): (String, usize, usize)| {
        if a == b { format!("{title} {a}") } else { format!("{title} {a}–{b}") }
    };
    // A title and its numbers stay on one line.
    const STAY: &str = "\u{a0}";
    let text: Vec<String> = list.into_iter().map(one).map(|x| x.replace(' ', STAY)).collect();
    let lines = s.faces[0].wrap(&format!("Sheets:{STAY}{}", text.join(" · ")), SMALL, s.width());
    let left = super::layout::MARGIN;
    for (k, line) in lines.into_iter().take(2).enumerate() {
        let y = at.y + 4.4 + 3.8 * k as f64;
        s.pages[at.page].text(left, y, SMALL, line.replace(STAY, " ")).ink(Ink::Grey);
    }
}

/// The worst findings in a line each, and how many there are.
fn told(s: &mut Sheets, list: &[Finding]) {
    let count = |l: Level| list.iter().filter(|f| f.level == l).count();
    let counts = format!(
        "{} to mend before anything is cut, {} to look at, {} not checked, {} to know. All stand on the next sheet.",
        count(Level::Mend),
        count(Level::Look),
        count(Level::NotChecked),
        count(Level::Note)
    );
    let counts = if list.is_empty() { "Nothing, within what was checked.".to_owned() } else { counts };
    s.paragraph(&counts, BODY, Ink::Black);
    for f in list.iter().take(TOLD) {
        s.need(6.0);
        let at = DVec2::new(s.left(), s.y + 0.8);
        mark(s.page(), f.level, at);
        s.y += 3.6;
        let (x, y) = (s.left() + 6.0, s.y);
        let line = s.faces[0].fit(&f.what, BODY, s.width() - 6.0);
        s.page().text(x, y, BODY, line);
        s.y += 1.4;
    }
}

fn figures(s: &mut Sheets, r: &Review, id: &Identity, t: &Text) {
    let sum = summary(r);
    let design = &r.shape.design;
    let datum = match &design.datum {
        design::Datum::Z(z) => format!("z = {}", t.length_unit(*z)),
        design::Datum::Under(x) => format!("underside of {}", design.tube_name(x)),
        design::Datum::Over(x) => format!("top of {}", design.tube_name(x)),
    };
    let steps = format!("{}, {}", t.step(), t.angle(design.limits.round_angle));
    let money = format!("{:.2} {}", sum.cost, sum.currency);
    let sticks: usize = r.stock.sections.iter().map(|p| p.sticks.len()).sum();
    let hash = id.hash.get(..24).unwrap_or(&id.hash).to_owned();
    let rows = [
        ("design file", id.file.clone(), "pieces", format!("{} ({} bent)", sum.pieces, sum.bent)),
        ("its SHA-256", hash, "plates", sum.plates.to_string()),
        ("printed", id.date.clone(), &format!("frame, {}", sum.frame_counts()), t.mass(sum.frame_kg)),
        ("by", format!("tubewright {}", id.version), sum.cut_counts(), t.mass(sum.cut_kg)),
        ("units", t.unit().to_owned(), "sticks", sticks.to_string()),
        ("heights from", datum, "steel to buy", money.trim().to_owned()),
        ("drawn by", design.by.clone().unwrap_or_else(|| "-".into()), "rounded to, so off by at most half", steps),
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
    if !id.skins.is_empty() {
        s.y += 5.2;
        let short =
            |h: &Option<String>| h.as_deref().map_or("not read".into(), |h| h.get(..12).unwrap_or(h).to_owned());
        let text: Vec<String> = id.skins.iter().map(|(f, h)| format!("{f} ({})", short(h))).collect();
        let text = s.faces[0].fit(&text.join(", "), BODY, s.width() - 26.0);
        let (x, y) = (s.left(), s.y);
        s.page().text(x, y, SMALL, "skins, SHA-256").ink(Ink::Grey);
        s.page().text(x + 22.0, y, BODY, text);
    }
    s.y += 3.0;
    let (l, r, y) = (s.left(), s.right(), s.y);
    s.page().line([DVec2::new(l, y), DVec2::new(r, y)], RULE);
}

fn findings(s: &mut Sheets, r: &Review, t: &Text) {
    let list = &r.findings;
    s.start("findings");
    s.heading("What was found, worst first");
    if list.is_empty() {
        s.paragraph("Nothing, within what was checked.", BODY, Ink::Black);
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
    s.y += 4.0;
    s.heading("What was checked");
    let limits = &r.shape.design.limits;
    let rows = [
        (
            "tubes",
            format!(
                "ends and pieces that hang loose; tubes that run into one another without a joint, or come nearer than {}",
                t.fine(limits.touch)
            ),
        ),
        (
            "room",
            "tubes that run through wheels, people or masses; tubes too near to people or to a skin; helmets under the lines \
             over them"
                .to_owned(),
        ),
        (
            "stance",
            "clearances, approach, departure and breakover angles, tilt, obstacles, wheels' swept room, measures, against the \
             limits that the design gives"
                .to_owned(),
        ),
        (
            "rollover",
            "in every rest attitude of the rigid car: people above hard and sunk ground, a way out of the wanted size"
                .to_owned(),
        ),
        (
            "strength",
            "of an ideal frame under the loads that the design gives: stress, displacement, buckling, hollow-section joints \
             within the standard's range; its sheets are headed `strength`"
                .to_owned(),
        ),
        ("skins", "tubes that come through a skin or nearer to it than its gap; what is odd about its file".to_owned()),
        (
            "ends",
            "walls that miss the other tube, cuts to a tube that is fitted later, mitres between unlike outlines, \
             angles that are sharp to weld, cuts that reach a bend"
                .to_owned(),
        ),
        (
            "fit",
            format!("a saw cut is given for a notch only where it leaves no gap wider than {}", t.fine(limits.fit)),
        ),
        (
            "tools",
            "hole saws at hand that do not fit or are too shallow, cuts farther from square than saws turn".to_owned(),
        ),
        (
            "bends",
            "straights shorter than the die or its clamp needs, angles beyond the die's largest or outside its test \
             bends, other radii than the die makes"
                .to_owned(),
        ),
        ("steel", "pieces that no stick holds, and whether another plan could cost less".to_owned()),
    ];
    let rows: Vec<Vec<String>> = rows.into_iter().map(|(a, b)| vec![a.to_owned(), b]).collect();
    s.table(&[word("of"), super::layout::prose("looked for")], &rows, BODY);
    s.heading("What was not checked");
    s.paragraph(NOT_CHECKED, BODY, Ink::Black);
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
pub fn mark(page: &mut Page, level: Level, at: DVec2) {
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
