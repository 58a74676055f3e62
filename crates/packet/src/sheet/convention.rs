//! How the sheets measure.

use glam::DVec2;
use review::Text;
use shape::End;

use super::layout::{BODY, Sheets, prose, word};
use super::page::{Anchor, BOLD, Ink, LINE, Page, Pen, THIN};

/// Size of the words, mm: all stand on one page.
const SIZE: f64 = 2.85;

/// How the sheets measure: the scribe line, turn, angle, lengths.
pub fn draw(s: &mut Sheets, t: &Text, angle_step: String, square_reads_90: bool) {
    s.start("how the sheets measure");
    s.heading("How the sheets measure");
    let (left, y) = (s.left(), s.y);
    let page = s.page();
    // A tube, its scribe line, and the direction of looking.
    let (a, b, r) = (left + 30.0, left + 150.0, 11.0);
    let mid = y + 18.0;
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
    page.line([DVec2::new(b + 9.0, mid - r), DVec2::new(b + 9.0, mid + r + 8.0)], THIN);
    page.line([DVec2::new(b - 9.0, mid + r), DVec2::new(b - 9.0, mid + r + 8.0)], THIN);
    page.text(b + 11.0, mid - r + 3.0, BODY, "long point");
    page.text(b - 9.0, mid + r + 12.0, BODY, "short side").anchor(Anchor::Right);
    s.y = mid + r + 13.0;
    round(s, s.left() + 21.0, End::Start);
    round(s, s.left() + 66.0, End::End);
    notch(s, s.left() + 96.0);
    s.y += 49.0;
    let angle = format!(
        "From square: 0 is a cut straight across. {}",
        match square_reads_90 {
            true => "The shop's scale reads 90 there, so the card gives what the scale shows as well.",
            false => "The shop's scale reads 0 there too, so it shows the same figure.",
        }
    );
    let decimals = if t.decimal(0.3).is_some() {
        " A decimal in brackets is the length before rounding to a fraction."
    } else {
        ""
    };
    let rounding = format!(
        "Lengths to {}, angles to {angle_step}: each figure is off by at most half of that. Half-way goes down.{decimals}",
        t.step()
    );
    let rows: Vec<Vec<String>> = [
        ("scribe line", "One line along every tube, marked before it is cut. On top of a straight tube as it lies in the car           (facing forward on a vertical one); on the outside of the first bend of a bent one. It runs on through the bends."),
        ("start, end", "The start is the end written first in the design. The label's arrow points to the end."),
        (
            "turn",
            "How far round the tube from the scribe line: clockwise as you face the start, anticlockwise as you face the \
             end. For a cut it is where the short side lies; the card says how far that is by a tape round the tube, the \
             shorter way. A mirror-image piece turns the other way: its card says its own figures.",
        ),
        (
            "setting a cut",
            "Mark the short side by its turn. Swing the saw or the notcher to the angle, and turn the tube in the vice so \
             that the part to be kept comes out shortest at the mark.",
        ),
        ("angle", &angle),
        (
            "box tube",
            "The scribe line is in the middle of its top. Right and left are yours when you look from start to end. Its \
             card gives the saw's line on the faces: the same slant on top and bottom, the same on both sides.",
        ),
        ("short side", "Where the cut goes farthest back: the side of the sharp angle between the two tubes."),
        ("over long points", "Between the two farthest points of the piece: the shortest stick that holds it."),
        ("between notch centres", "Between the axes of the two hole-saw cuts, where a notch cuts the piece to length."),
        ("between end points", "Between the ends of the centreline as the design draws it, along it."),
        (
            "notch centre",
            "Where the hole saw's axis passes the tube's. The card says how far beyond the piece's long point, or in from it.",
        ),
        (
            "sits on",
            "Where the end stands on the other tube when it is fitted: mark both lines on that tube, measured along it from \
             its own long point, and set the end between them, on the face or at the turn given.",
        ),
        (
            "1, 2, 3",
            "An end that meets several tubes has a set-up for each, cut one after the other; the sketch shows each number \
             at its turn.",
        ),
        ("blank", "What to cut from the stick: over long points, with what is left long and what the bender's clamp needs."),
        ("travel", "How deep the hole saw must go along its own axis to pass both walls."),
        (
            "bend marks",
            "Bend first, then cut the ends: the long points are the ends of the blank. Marks are all from one end of it. \
             Before each bend but the first the tube is turned, cw or ccw as seen looking from the clamped end along the \
             tube; then its scribe line lies as the table says.",
        ),
        ("guess", "A setting from outside the die's test bends: bend a trial piece first."),
        ("rounding", &rounding),
    ]
    .iter()
    .map(|(a, b)| vec![(*a).to_owned(), b.split_whitespace().collect::<Vec<_>>().join(" ")])
    .collect();
    s.table(&[word("word"), prose("what it means on these sheets")], &rows, SIZE);
}

/// An end as one faces it, with the turns round it.
fn round(s: &mut Sheets, x: f64, end: End) {
    let (c, r) = (DVec2::new(x, s.y + 25.0), 11.5);
    let page = s.page();
    page.circle(c, r, Some(Ink::Tint), Some(BOLD));
    page.circle(c, r - 2.0, Some(Ink::Paper), Some(THIN));
    let sense = if end == End::Start { 1.0 } else { -1.0 };
    let at = |turn: f64, d: f64| c + DVec2::new(sense * turn.to_radians().sin(), -turn.to_radians().cos()) * d;
    for turn in [0.0, 90.0, 180.0, 270.0] {
        let pen = if turn == 0.0 { Pen::new(Ink::Accent, 0.7) } else { LINE };
        page.line([at(turn, r), at(turn, r + 2.0)], pen);
        let (q, anchor) = match at(turn, 1.0).x - c.x {
            right if right > 0.5 => (at(turn, r + 2.8) + DVec2::new(0.0, 1.0), Anchor::Left),
            left if left < -0.5 => (at(turn, r + 2.8) + DVec2::new(0.0, 1.0), Anchor::Right),
            _ if turn == 0.0 => (at(turn, r + 3.2), Anchor::Middle),
            _ => (at(turn, r + 5.4), Anchor::Middle),
        };
        let words = if turn == 0.0 { "scribe line: 0°".to_owned() } else { format!("{turn}°") };
        page.text(q.x, q.y, BODY, words).anchor(anchor).ink = if turn == 0.0 { Ink::Accent } else { Ink::Black };
    }
    let arc: Vec<DVec2> = (0..=24).map(|k| at(10.0 + 5.0 * f64::from(k), r * 0.55)).collect();
    let tip = arc[arc.len() - 1];
    let d = (tip - arc[arc.len() - 3]).normalize_or_zero() * 2.2;
    page.line(arc, Pen::new(Ink::Accent, 0.4));
    page.line([tip - d + d.perp() * 0.5, tip, tip - d - d.perp() * 0.5], Pen::new(Ink::Accent, 0.4));
    let words = format!("as you face the {}", end.word());
    page.text(c.x, c.y + r + 10.5, BODY, words).anchor(Anchor::Middle);
}

/// A notched end from the side, with the other tube.
fn notch(s: &mut Sheets, x: f64) {
    // The other tube leans this far from square, towards the right above.
    const LEAN: f64 = 0.5;
    let (c, h, r) = (DVec2::new(x + 46.0, s.y + 25.0), 9.0, 8.0);
    let page = s.page();
    let along = DVec2::new(LEAN.sin(), -LEAN.cos());
    let out = DVec2::new(-LEAN.cos(), -LEAN.sin());
    // Where the near side of the other tube passes a height over the axis (y down).
    let near = |y: f64| c + out * r + along * ((y - out.y * r) / along.y);
    let (top, low) = (near(-h), near(h));
    page.area([DVec2::new(x, c.y - h), top, low, DVec2::new(x, c.y + h)], Some(Ink::Tint), Some(BOLD));
    page.line([DVec2::new(x, c.y - h), top], Pen::new(Ink::Accent, 0.7));
    for side in [-1.0, 1.0] {
        let p = c + out * (r * side);
        page.line([p - along * 21.0, p + along * 21.0], LINE.dashed(1.4));
    }
    let axis = THIN.dashed(2.4);
    page.line([DVec2::new(x - 4.0, c.y), c + DVec2::new(16.0, 0.0)], axis);
    page.line([c - along * 24.0, c + along * 24.0], axis);
    page.line([c - DVec2::new(0.0, 24.0), c + DVec2::new(0.0, 14.0)], THIN);
    let arc: Vec<DVec2> =
        (0..=12).map(|k| LEAN * f64::from(k) / 12.0).map(|a| c + DVec2::new(a.sin(), -a.cos()) * 22.0).collect();
    page.line(arc, Pen::new(Ink::Accent, 0.4));
    page.text(c.x + 14.0, c.y - 20.5, BODY, "angle from square").ink(Ink::Accent);
    page.circle(c, 0.9, Some(Ink::Black), None);
    page.line([c, c + DVec2::new(19.0, 8.0)], THIN);
    page.text(c.x + 20.0, c.y + 9.0, BODY, "notch centre");
    page.text(c.x + 18.0, c.y - 6.0, BODY, "the other tube").ink(Ink::Grey);
    let left = if top.x < low.x { top } else { low };
    let right = if top.x < low.x { low } else { top };
    page.line([left, DVec2::new(left.x, c.y + h + 9.0)], THIN);
    page.text(left.x, c.y + h + 12.5, BODY, "short side").anchor(Anchor::Right);
    page.line([right, DVec2::new(right.x, c.y - h - 4.0)], THIN);
    page.text(right.x - 1.0, c.y - h - 5.0, BODY, "long point").anchor(Anchor::Right);
}
