//! What was measured on the car, and what it makes of the rest.

use cutting::Piece;
use geometry::DVec3;
use glam::DVec2;
use review::built::Change;
use review::{Review, Text, built};

use super::layout::{BODY, SMALL, Sheets};
use super::page::{Anchor, Ink, Pen};
use super::told::told;
use super::views::{self, Place, View};

/// Title of the chapter's sheets.
const TITLE: &str = "as built";

/// What the frame that stands makes of a piece that is drawn here as it was designed; sheets of the frame as built have it
/// in already.
pub fn change<'a>(r: &'a Review, piece: &str) -> Option<&'a Change> {
    let b = r.built.as_ref()?;
    let own = b.review.as_ref()?;
    let same = r.shape.tubes.iter().zip(&own.shape.tubes).all(|(p, q)| p.chain == q.chain);
    b.changes.iter().find(|c| !same && c.piece == piece)
}

/// The same in words for the piece's card, with the sheet that tells all of it.
pub fn instead(s: &Sheets, r: &Review, p: &Piece, t: &Text) -> Option<String> {
    let c = change(r, &p.name)?;
    let (was, now) = (t.cut(c.was), t.cut(c.now));
    let mut out = match (c.cut, was == now) {
        _ if built::unsettled(c) => "as built: not to be cut yet".to_owned(),
        (_, true) => format!("as built: as long, {now} over long points, but not the same"),
        (false, _) => format!("as built: cut {now} instead of {was} over long points"),
        (true, _) => format!("as built: cut already to {was} over long points, should be {now}"),
    };
    if let Some(what) = built::rests_on(c) {
        out += &format!("; it rests on {what}");
    }
    let ends: Vec<&str> =
        shape::End::BOTH.into_iter().filter(|e| c.ends[*e as usize].changed).map(shape::End::word).collect();
    if !ends.is_empty() {
        out += &format!("; {} set anew", ends.join(" and "));
    }
    if !c.bends.is_empty() {
        out += "; bent otherwise";
    }
    if let Some(k) = s.pages.iter().position(|page| page.title == TITLE) {
        out += &format!("; see sheet {} on", k + 1);
    }
    Some(out)
}

/// A table each, and how it lies; nothing if nothing was measured.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    let Some(b) = &r.built else { return };
    s.start(TITLE);
    s.heading("What stands, and what it makes of the rest");
    s.paragraph(&built::lead(b), BODY, Ink::Black);
    s.paragraph(built::CAUTION, BODY, Ink::Black);
    for f in r.findings.iter().filter(|f| f.answer == "build") {
        let measure = t.measure(f).map_or(String::new(), |m| format!(" ({m})"));
        s.paragraph(&format!("{}{measure}", f.what), SMALL, Ink::Black);
    }
    pictures(s, r, b, t);
    for sheet in built::sheets(r, b, t) {
        told(s, &sheet);
    }
}

const DESIGNED: Pen = Pen::new(Ink::Grey, 0.15);
const STANDS: Pen = Pen::new(Ink::Black, 0.35);
const REMAINS: Pen = Pen::new(Ink::Grey, 0.25);
const SHIFT: Pen = Pen::new(Ink::Accent, 0.5);
/// The largest shift is drawn this long beside the frame's size.
const SHOWN: f64 = 0.05;
/// Height of a picture, mm.
const HIGH: f64 = 58.0;
/// Between two, mm.
const GAP: f64 = 8.0;
/// Points along a tube.
const STEPS: usize = 16;
/// So many points are named, the farthest off first.
const NAMED: usize = 6;

/// The frame as built over the frame as designed, from above and from its left side, shifts many times too large.
fn pictures(s: &mut Sheets, r: &Review, b: &built::Built, t: &Text) {
    let Some(own) = &b.review else { return };
    let most = b.fit.places.iter().map(|p| p.shift().length()).fold(0.0, f64::max);
    let same = r.shape.tubes.iter().zip(&own.shape.tubes).all(|(p, q)| p.chain == q.chain);
    // The sheets of the frame as built have nothing to lay it over.
    if same || most <= 0.0 {
        return;
    }
    let corners = || r.shape.tubes.iter().flat_map(|t| &t.chain.corners);
    let lo = corners().fold(DVec3::INFINITY, |m, c| m.min(*c));
    let hi = corners().fold(DVec3::NEG_INFINITY, |m, c| m.max(*c));
    let times = views::round_times(SHOWN * lo.distance(hi) / most);
    s.need(HIGH + 20.0);
    s.heading("As built, over the design");
    let text = format!(
        "Thin as designed; bold what stands, grey what remains between it; blue from each designed place to where it is: all {times:.0} \
         times as far. Left from above, right from the left side; forward is to the left."
    );
    s.paragraph(&text, SMALL, Ink::Grey);
    let size = DVec2::new((s.width() - GAP) / 2.0, HIGH);
    let (left, top) = (s.left(), s.y);
    let round = DVec2::splat(5.0);
    for (k, view) in [View::TOP, View::SIDE].into_iter().enumerate() {
        let corner = DVec2::new(left + k as f64 * (size.x + GAP), top);
        let at = views::place(r, view, corner + round, size - 2.0 * round, false, false);
        picture(s, r, b, &at, times, t);
    }
    s.y = top + HIGH + 6.0;
}

fn picture(s: &mut Sheets, r: &Review, b: &built::Built, at: &Place, times: f64, t: &Text) {
    let Some(own) = &b.review else { return };
    views::sketch(s.page(), r, at, DESIGNED);
    for (p, q) in r.shape.tubes.iter().zip(&own.shape.tubes) {
        let along = |k: usize| k as f64 / STEPS as f64;
        let place = |k: usize| {
            let (was, is) = (p.chain.point(along(k) * p.chain.length()), q.chain.point(along(k) * q.chain.length()));
            at.put(was + (is - was) * times)
        };
        let pen = if b.fit.standing.contains(&p.name) { STANDS } else { REMAINS };
        s.page().line((0..=STEPS).map(place).collect::<Vec<_>>(), pen);
    }
    let mut places: Vec<_> = b.fit.places.iter().collect();
    places.sort_by(|p, q| q.shift().length().total_cmp(&p.shift().length()));
    for (k, p) in places.into_iter().enumerate() {
        let (from, to) = (at.put(p.designed), at.put(p.designed + p.shift() * times));
        s.page().line([from, to], SHIFT);
        s.page().circle(to, 0.7, Some(Ink::Accent), None);
        // What is where it was designed to be needs no name, and would stand over its twin's.
        let by = t.fine_number(p.shift().length());
        if k < NAMED && by != t.fine_number(0.0) {
            let words = format!("{} {by}", p.name);
            s.page().text(to.x + 1.2, to.y - 0.8, 2.1, words).anchor(Anchor::Left);
        }
    }
}
