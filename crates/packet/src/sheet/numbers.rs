//! Where each piece is: the frame from two sides, every piece with its number in the fitting order.

use cutting::Piece;
use glam::DVec2;
use review::Review;

use super::hidden::Scene;
use super::layout::{SMALL, Sheets};
use super::page::{Anchor, Ink, Pen};
use super::views::{self, Place, View};

/// Title of these sheets.
pub const TITLE: &str = "fitting order";
/// Size of the numbers, mm.
const SIZE: f64 = 2.8;
/// Height of a number's box, mm.
const TALL: f64 = 3.6;
/// Places along a piece at which its number is tried.
const TRIES: usize = 41;

/// A number's box on the page: its middle and half its size.
#[derive(Clone, Copy)]
struct Tag {
    at: DVec2,
    half: DVec2,
}

impl Tag {
    fn clear_of(&self, other: &Tag) -> bool {
        let d = (self.at - other.at).abs() - self.half - other.half;
        d.max_element() > 0.3
    }
}

/// Both views.
pub fn pages(s: &mut Sheets, r: &Review) {
    let views = [("from ahead, left and above", View::slant()), ("from behind, right and above", View::slant_behind())];
    let mut shown = vec![false; r.cutting.pieces.len()];
    for (k, (name, view)) in views.into_iter().enumerate() {
        s.start_across(TITLE);
        s.heading(&format!("Fitting order, {name}"));
        let at = DVec2::new(s.left() + 6.0, s.y + 4.0);
        let size = DVec2::new(s.width() - 12.0, s.bottom() - s.y - 12.0);
        let place = views::place(r, view, at, size, false, false);
        let scene = place.scene(r);
        views::draw_grey(s.page(), r, &place, &scene);
        number(s, r, &place, &scene, &mut shown, k == 1);
        let note = "Fit the pieces in the order of their numbers: each is cut to those before it. A number stands on its \
                    piece where that can be seen; a dot at the end of a thin line is on a piece that others hide.";
        let (x, y) = (s.left(), s.bottom() - 1.0);
        s.page().text(x, y, SMALL, note).ink(Ink::Grey);
    }
}

/// Writes the numbers of the pieces that are seen; on the last view also of those that were not seen before.
fn number(s: &mut Sheets, r: &Review, place: &Place, scene: &Scene, shown: &mut [bool], last: bool) {
    let eye = place.view.eye();
    // Where each piece's number may stand, best first: near the middle, in sight.
    let places = |p: &Piece| -> Vec<DVec2> {
        let t = &r.shape.tubes[p.tube];
        let length = t.chain.length();
        let seen: Vec<Option<DVec2>> = (0..=TRIES)
            .map(|k| {
                let at = length * k as f64 / TRIES as f64;
                let (p, along) = (t.chain.point(at), t.chain.tangent(at));
                // On the side of the tube that faces the eye.
                let near = (eye - along * eye.dot(along)).try_normalize()?;
                scene.sees(p + near * (t.outline.reach() * 1.02), None).then(|| place.put(p))
            })
            .collect();
        let clear = |k: usize, d: usize| (k.saturating_sub(d)..=(k + d).min(TRIES)).all(|j| seen[j].is_some());
        // A place amid a stretch in sight says more than a glimpse.
        let glimpse = |k: usize| (1..=3).filter(|d| !clear(k, *d)).count() as f64 * 0.2;
        let mut list: Vec<(f64, DVec2)> =
            (1..TRIES).filter_map(|k| Some(((k as f64 / TRIES as f64 - 0.5).abs() + glimpse(k), seen[k]?))).collect();
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
        list.into_iter().map(|p| p.1).collect()
    };
    let mut jobs: Vec<(usize, Vec<DVec2>)> = r.cutting.pieces.iter().map(places).enumerate().collect();
    // Those with the least choice first.
    jobs.sort_by_key(|j| j.1.len());
    let mut tags: Vec<Tag> = Vec::new();
    let area = (DVec2::new(s.left(), s.top() + 10.0), DVec2::new(s.right(), s.bottom() - 6.0));
    for (i, list) in jobs {
        let hidden = list.is_empty();
        if hidden && (!last || shown[i]) {
            continue;
        }
        let p = &r.cutting.pieces[i];
        let text = p.number.to_string();
        let half = DVec2::new(s.faces[1].width(&text, SIZE) + 1.4, TALL) / 2.0;
        let free = |at: DVec2| {
            let tag = Tag { at, half };
            let inside = (at - half).cmpge(area.0).all() && (at + half).cmple(area.1).all();
            (inside && tags.iter().all(|t| t.clear_of(&tag))).then_some(tag)
        };
        let foot = list.first().copied().unwrap_or_else(|| {
            let t = &r.shape.tubes[p.tube];
            place.put(t.chain.point(t.chain.length() / 2.0))
        });
        let on = list.iter().find_map(|q| free(*q));
        let tag = on.or_else(|| {
            // Beside the piece, on a line: nearer first, then every way round.
            (2..40).find_map(|d| {
                (0..24).find_map(|k| free(foot + DVec2::from_angle(f64::from(k) * 0.2618) * (f64::from(d) * 2.0)))
            })
        });
        let Some(tag) = tag else { continue };
        shown[i] = true;
        let page = s.page();
        if on.is_none() {
            page.line([foot, tag.at], Pen::new(Ink::Accent, 0.2));
            page.circle(foot, 0.5, Some(Ink::Accent), None);
        }
        page.rect(tag.at - half, half * 2.0, Some(Ink::Paper), Some(Pen::new(Ink::Accent, 0.2)));
        page.text(tag.at.x, tag.at.y + 0.35 * SIZE, SIZE, text).bold().anchor(Anchor::Middle);
        tags.push(tag);
    }
}
