//! Plates, flat: at 1:1 where the paper is large enough, plates of one shape once.

use glam::DVec2;
use review::{Review, Text};
use shape::Plate;

use super::layout::{BODY, SMALL, Sheets};
use super::page::{Anchor, Ink, LINE, RULE, THIN};
use super::templates;

/// Title of the plates' pages.
pub const TITLE: &str = "plates";
/// Lengths that differ by less are one, m: a tenth of what a saw or a plasma cutter holds.
const SAME: f64 = 1e-5;
/// Room beside a plate for its corners and holes, mm.
const BESIDE: f64 = 52.0;
/// Room for dimensions round a plate, mm.
const ROUND: f64 = 8.0;
/// Step of small lines, mm.
const STEP: f64 = 3.6;

/// Whether two flat plates are one shape, turned over or not. For convex or hollow outlines alike: as many corners, and
/// every corner and hole as far from every other.
fn same(a: &Plate, b: &Plate) -> bool {
    let n = a.corners.len();
    if b.corners.len() != n || a.holes.len() != b.holes.len() || (a.thickness - b.thickness).abs() > SAME {
        return false;
    }
    let near = |x: f64, y: f64| (x - y).abs() < SAME;
    (0..n).any(|shift| {
        [1, n - 1].into_iter().any(|step| {
            let at = |i: usize| b.corners[(shift + i * step) % n];
            let corners =
                (0..n).all(|i| (0..i).all(|j| near(a.corners[i].distance(a.corners[j]), at(i).distance(at(j)))));
            corners
                && a.holes.iter().all(|(c, d)| {
                    b.holes
                        .iter()
                        .any(|(e, f)| near(*d, *f) && (0..n).all(|i| near(c.distance(a.corners[i]), e.distance(at(i)))))
                })
        })
    })
}

/// Plates of one shape and material together, by the first of each.
pub fn shapes(r: &Review) -> Vec<Vec<&Plate>> {
    let material = |p: &Plate| r.shape.design.plates[p.id.0].material;
    let mut out: Vec<Vec<&Plate>> = Vec::new();
    for p in &r.shape.plates {
        match out.iter_mut().find(|g| material(g[0]) == material(p) && same(g[0], p)) {
            Some(g) => g.push(p),
            None => out.push(vec![p]),
        }
    }
    out
}

/// All plates.
pub fn draw(s: &mut Sheets, r: &Review, t: &Text) {
    if r.shape.plates.is_empty() {
        return;
    }
    s.start(TITLE);
    templates::rules(s);
    s.heading("Plates, flat");
    let note = format!(
        "Plates of one shape are drawn once; a mirror image is the same plate turned over. Corners and holes are given from \
         the lower left of the drawing, across and up, in {}. Lines are the finished edge: the kerf goes outside outer edges \
         and inside holes.",
        t.unit()
    );
    let right = s.right() - templates::UPRIGHT;
    for line in s.faces[0].wrap(&note, SMALL, right - s.left()) {
        s.y += STEP;
        let (x, y) = (s.left(), s.y);
        s.page().text(x, y, SMALL, line).ink(Ink::Grey);
    }
    for group in shapes(r) {
        plate(s, r, &group, t);
    }
}

fn plate(s: &mut Sheets, r: &Review, group: &[&Plate], t: &Text) {
    let p = group[0];
    let width = s.width() - templates::UPRIGHT;
    let lo = p.corners.iter().fold(DVec2::INFINITY, |a, c| a.min(*c));
    let hi = p.corners.iter().fold(DVec2::NEG_INFINITY, |a, c| a.max(*c));
    let span = (hi - lo) * 1e3;
    // The words beside the plate if both have room, else under it.
    let beside = span.x + 2.0 * ROUND + BESIDE <= width;
    let names: Vec<&str> = group.iter().map(|p| p.name.as_str()).collect();
    let names = s.faces[1].wrap(&names.join(", "), BODY, width);
    let list = measures(p, lo, t);
    let columns = if beside { 1 } else { ((width / BESIDE) as usize).max(1) };
    let rows = list.len().div_ceil(columns) as f64 * STEP + 2.0;
    let words = names.len() as f64 * 4.3 + 5.0;
    let most = s.bottom() - s.top() - templates::RULES - words - 2.0 * ROUND - 12.0 - if beside { 0.0 } else { rows };
    let k = ((width - 2.0 * ROUND) / span.x).min(most.max(20.0) / span.y).min(1.0);
    let high = span.y * k + 2.0 * ROUND;
    templates::need(s, TITLE, 6.0 + words + if beside { high.max(rows + 4.0) } else { high + rows });
    s.y += 6.0;
    let x = s.left();
    for line in &names {
        let y = s.y;
        s.page().text(x, y, BODY, line.clone()).bold();
        s.y += 4.3;
    }
    let scale = if k >= 1.0 { "1 : 1".to_owned() } else { format!("1 : {:.2}, not to measure from", 1.0 / k) };
    let material = &r.shape.design.materials[r.shape.design.plates[p.id.0].material.0].name;
    let line = format!(
        "{} off · {} thick · {material} · {:.3} kg each · drawn {scale}",
        group.len(),
        t.fine(p.thickness),
        p.mass
    );
    let y = s.y;
    let line = s.faces[0].fit(&line, SMALL, width);
    s.page().text(x, y, SMALL, line).ink(Ink::Grey);
    let top = s.y + 1.0;
    outline(s, p, DVec2::new(x + ROUND, top + ROUND + span.y * k), lo, k, t);
    let (from, start) = if beside { (x + span.x + 2.0 * ROUND + 6.0, top + 5.0) } else { (x, top + high + STEP) };
    let per = list.len().div_ceil(columns).max(1);
    for (i, line) in list.into_iter().enumerate() {
        let at = DVec2::new(from + (i / per) as f64 * BESIDE, start + (i % per) as f64 * STEP);
        let line = s.faces[0].fit(&line, SMALL, BESIDE - 2.0);
        s.page().text(at.x, at.y, SMALL, line);
    }
    s.y = top + if beside { high.max(rows + 4.0) } else { high + rows };
    let (l, y) = (s.left(), s.y);
    s.page().line([DVec2::new(l, y), DVec2::new(l + width, y)], RULE);
}

/// Corners and holes in words.
fn measures(p: &Plate, lo: DVec2, t: &Text) -> Vec<String> {
    let place = |c: DVec2| format!("{}, {}", t.length(c.x - lo.x), t.length(c.y - lo.y));
    let corners = p.corners.iter().enumerate().map(|(i, c)| format!("corner {}: {}", i + 1, place(*c)));
    let holes = p.holes.iter().map(|(c, d)| format!("hole Ø {}: {}", t.fine_number(*d), place(*c)));
    corners.chain(holes).collect()
}

/// The plate with its sides' lengths, corners numbered, holes with their centres.
fn outline(s: &mut Sheets, p: &Plate, base: DVec2, lo: DVec2, k: f64, t: &Text) {
    let put = |c: DVec2| base + DVec2::new(c.x - lo.x, -(c.y - lo.y)) * 1e3 * k;
    let corners: Vec<DVec2> = p.corners.iter().map(|c| put(*c)).collect();
    let middle = corners.iter().sum::<DVec2>() / corners.len().max(1) as f64;
    s.page().area(corners.clone(), Some(Ink::Tint), Some(LINE));
    for (c, d) in &p.holes {
        let (c, radius) = (put(*c), d * 500.0 * k);
        s.page().circle(c, radius, Some(Ink::Paper), Some(LINE));
        for arm in [DVec2::X, DVec2::Y] {
            s.page().line([c - arm * (radius + 1.5), c + arm * (radius + 1.5)], THIN);
        }
    }
    let n = corners.len();
    // Small sides have no room for their length: the list has their corners.
    let mut taken: Vec<DVec2> = Vec::new();
    for i in 0..n {
        let (a, b) = (corners[i], corners[(i + 1) % n]);
        let words = t.length(p.corners[i].distance(p.corners[(i + 1) % n]));
        let half = DVec2::new(s.faces[0].width(&words, SMALL), SMALL) / 2.0;
        // Anticlockwise as drawn, so outside lies to the right; the words keep clear of a slanted side by their own size.
        let out = DVec2::new(-(b - a).y, (b - a).x).normalize_or_zero();
        let at = (a + b) / 2.0 + out * (1.6 + (out.abs() * half).element_sum());
        if a.distance(b) > 2.0 * half.x.max(3.0) && taken.iter().all(|q| (*q - at).abs().cmpgt(half * 2.2).any()) {
            taken.push(at);
            s.page().text(at.x, at.y + 0.35 * SMALL, SMALL, words).anchor(Anchor::Middle);
        }
    }
    for (i, c) in corners.iter().enumerate() {
        let at = *c + (middle - *c).normalize_or_zero() * 4.6;
        if taken.iter().all(|q| q.distance(at) > 4.0) {
            taken.push(at);
            s.page().text(at.x, at.y + 0.9, SMALL, (i + 1).to_string()).ink(Ink::Grey).anchor(Anchor::Middle);
        }
    }
}
