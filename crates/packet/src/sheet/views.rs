//! The frame seen from a side, or at a slant, with what is hidden left out.

use geometry::{DVec3, Segment};
use glam::DVec2;
use review::Review;
use shape::bodies::Body;

use super::edges::{self, Edge, Of};
use super::hidden::Scene;
use super::page::{Ink, Page, Pen};

/// A direction of looking.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// To the right on the page.
    pub right: DVec3,
    /// Up the page.
    pub up: DVec3,
}

impl View {
    /// From the left: forward is to the left.
    pub const SIDE: View = View { right: DVec3::NEG_X, up: DVec3::Z };
    /// From above: forward is to the left, the car's left side below.
    pub const TOP: View = View { right: DVec3::NEG_X, up: DVec3::NEG_Y };
    /// From ahead: the car's left is to the right.
    pub const FRONT: View = View { right: DVec3::Y, up: DVec3::Z };

    /// From ahead, left and above.
    pub fn slant() -> View {
        // Where the eye stands: turned from straight ahead towards the left, and raised.
        View::from(0.75, 0.40)
    }

    /// From behind, right and above.
    pub fn slant_behind() -> View {
        View::from(0.75 + std::f64::consts::PI, 0.40)
    }

    /// With a direction up, and the eye as near to another as it can be.
    pub fn upright(up: DVec3, eye: DVec3) -> View {
        let up = up.normalize_or_zero();
        let eye = (eye - up * up.dot(eye)).normalize_or_zero();
        View { right: up.cross(eye), up }
    }

    /// A car that lies, with a direction down: from its side, or from ahead where it lies on a side.
    pub fn lying(down: DVec3) -> View {
        let down = down.normalize_or(DVec3::NEG_Z);
        View::upright(-down, if down.y.abs() > 0.7 { DVec3::X } else { DVec3::Y })
    }

    /// With the eye turned from straight ahead towards the left, and raised; rad.
    fn from(turn: f64, rise: f64) -> View {
        let eye = DVec3::new(turn.cos() * rise.cos(), turn.sin() * rise.cos(), rise.sin());
        let right = DVec3::Z.cross(eye).normalize();
        View { right, up: eye.cross(right) }
    }

    /// Towards the eye.
    pub fn eye(&self) -> DVec3 {
        self.right.cross(self.up)
    }

    /// A place on a page in m, y down.
    pub fn flat(&self, p: DVec3) -> DVec2 {
        DVec2::new(p.dot(self.right), -p.dot(self.up))
    }
}

/// Where a view stands on its page.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// The view.
    pub view: View,
    /// mm of paper to a metre.
    pub scale: f64,
    /// Where the design's origin lies, mm.
    pub origin: DVec2,
}

impl Place {
    /// A place on the page, mm.
    pub fn put(&self, p: DVec3) -> DVec2 {
        self.origin + self.view.flat(p) * self.scale
    }

    /// What hides what in it.
    pub fn scene<'a>(&self, r: &'a Review) -> Scene<'a> {
        Scene::new(r, self.view.right, self.view.up, self.scale)
    }
}

/// Bounds of the frame, and of its wheels and what else rides along, on the page, m.
fn bounds(r: &Review, view: &View, wheels: bool) -> (DVec2, DVec2) {
    let mut lo = DVec2::INFINITY;
    let mut hi = DVec2::NEG_INFINITY;
    let mut add = |p: DVec2, grow: f64| {
        lo = lo.min(p - grow);
        hi = hi.max(p + grow);
    };
    for t in &r.shape.tubes {
        for c in &t.chain.corners {
            add(view.flat(*c), t.outline.reach());
        }
    }
    for p in r.shape.plates.iter() {
        p.corners.iter().for_each(|c| add(view.flat(p.place(*c, 0.0)), 0.0));
    }
    if wheels {
        for (_, c) in r.shape.bodies.iter().flat_map(|b| &b.parts) {
            for d in [view.right, -view.right, view.up, -view.up] {
                add(view.flat(c.farthest(d)), 0.0);
            }
        }
    }
    if lo.is_finite() && hi.is_finite() { (lo, hi) } else { (DVec2::ZERO, DVec2::ONE) }
}

/// Largest scale, mm of paper to a metre: half size, so that a single short tube isn't blown up.
const LARGEST: f64 = 500.0;
/// Scales that a drawing is stated at, 1 to so many; beyond the last, hundreds.
const SCALES: [f64; 18] =
    [2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 16.0, 20.0, 24.0, 25.0, 30.0, 40.0, 50.0, 75.0];

/// Fits a view, with wheels and what rides along if so wanted, into a box of the page; at a round scale if so wanted.
pub fn place(r: &Review, view: View, at: DVec2, size: DVec2, wheels: bool, round: bool) -> Place {
    fit(bounds(r, &view, wheels), view, at, size, round)
}

/// Fits what lies between two corners of a view, m, into a box of the page; at a round scale if so wanted.
pub fn fit((lo, hi): (DVec2, DVec2), view: View, at: DVec2, size: DVec2, round: bool) -> Place {
    let span = (hi - lo).max(DVec2::splat(1e-3));
    let mut scale = (size.x / span.x).min(size.y / span.y).min(LARGEST);
    if round {
        let least = 1e3 / scale;
        scale = 1e3 / SCALES.into_iter().find(|s| *s >= least - 1e-9).unwrap_or((least / 100.0).ceil() * 100.0);
    }
    Place { view, scale, origin: at + size / 2.0 - (lo + hi) / 2.0 * scale }
}

/// Sides of tubes.
const SIDE: f64 = 0.3;
/// Rims, corners, plates.
const RIM: f64 = 0.18;
/// What is not frame.
const THING: f64 = 0.15;

/// Draws the frame with what rides on it.
pub fn draw(page: &mut Page, r: &Review, at: &Place) {
    let scene = at.scene(r);
    let flat = |p: DVec3| at.view.flat(p);
    lines(page, r, at, &scene, &edges::bodies(&r.shape.bodies, &flat, at.view.right, at.view.up), false);
    lines(page, r, at, &scene, &edges::frame(r, at.view.eye()), false);
}

/// Draws bodies through everything that hides them, with a pen.
pub fn draw_bodies(page: &mut Page, list: &[Body], at: &Place, pen: Pen) {
    for e in edges::bodies(list, &|p| at.view.flat(p), at.view.right, at.view.up) {
        page.line(e.points.iter().map(|p| at.put(*p)).collect::<Vec<_>>(), pen);
    }
}

/// How many times something small is drawn, so many being wanted: 1, 2, 3 or 5 times a power of ten, no more.
pub fn round_times(wanted: f64) -> f64 {
    if !wanted.is_finite() || wanted < 1.0 {
        return 1.0;
    }
    let decade = 10f64.powf(wanted.log10().floor());
    [10.0, 5.0, 3.0, 2.0, 1.0].into_iter().map(|k| k * decade).find(|k| *k <= wanted).unwrap_or(decade)
}

/// Draws the frame's centrelines, with a pen.
pub fn sketch(page: &mut Page, r: &Review, at: &Place, pen: Pen) {
    for i in 0..r.shape.tubes.len() {
        page.line(centreline(r, i, at), pen);
    }
}

/// A tube's centreline on the page.
pub fn centreline(r: &Review, tube: usize, at: &Place) -> Vec<DVec2> {
    let t = &r.shape.tubes[tube];
    let mut points = vec![at.put(t.chain.corners[0])];
    for seg in &t.chain.segments {
        let n = if matches!(seg, Segment::Leg { .. }) { 1 } else { 6 };
        points.extend((1..=n).map(|k| at.put(seg.point(seg.length() * f64::from(k) / f64::from(n)))));
    }
    points
}

/// Draws the frame alone, in grey, for something to be written over it.
pub fn draw_grey(page: &mut Page, r: &Review, at: &Place, scene: &Scene) {
    lines(page, r, at, scene, &edges::frame(r, at.view.eye()), true);
}

fn lines(page: &mut Page, r: &Review, at: &Place, scene: &Scene, list: &[Edge], grey: bool) {
    // Small pictures take finer lines.
    let fine = (at.scale / 40.0).clamp(0.6, 1.0);
    for e in list {
        let (ink, width) = stroke(r, e.of);
        let ink = if grey && ink == Ink::Black { Ink::Grey } else { ink };
        let width = if grey { width * 0.6 } else { width };
        for run in runs(scene, e, at) {
            page.line(run, Pen::new(ink, width * fine));
        }
    }
}

/// The ink and the width of a line.
fn stroke(r: &Review, of: Of) -> (Ink, f64) {
    let permanent = |i: usize| r.shape.tubes[i].state == design::TubeState::Permanent;
    match of {
        Of::Side(i) if permanent(i) => (Ink::Black, SIDE),
        Of::Rim(i) if permanent(i) => (Ink::Black, RIM),
        Of::Side(_) => (Ink::Grey, SIDE),
        Of::Rim(_) => (Ink::Grey, RIM),
        Of::Plate(_) => (Ink::Black, RIM),
        Of::Body => (Ink::Pale, THING),
    }
}

/// The frame as seen from one side, what is hidden left out, to be put on paper again and again.
pub struct Picture {
    view: View,
    /// Joined places in m on the page, with the ink and width of each line.
    lines: Vec<(Vec<DVec2>, Ink, f64)>,
}

impl Picture {
    /// Looks at the frame; the scale, mm of paper to a metre, says how finely.
    pub fn new(r: &Review, view: View, scale: f64) -> Picture {
        let at = Place { view, scale, origin: DVec2::ZERO };
        let scene = at.scene(r);
        let mut out = Vec::new();
        for e in edges::frame(r, view.eye()) {
            let (ink, width) = stroke(r, e.of);
            for run in runs(&scene, &e, &at) {
                out.push((run.into_iter().map(|p| p / scale).collect(), ink, width));
            }
        }
        Picture { view, lines: out }
    }

    /// How far its lines would be off, m per metre from the origin, where it stands for another view that is only turned on
    /// the page.
    pub fn off(&self, view: &View) -> f64 {
        self.view.eye().cross(view.eye()).length()
    }

    /// Puts it on a page: turned as the place's view is, in an ink if all is to have one.
    pub fn put(&self, page: &mut Page, at: &Place, ink: Option<Ink>) {
        let fine = (at.scale / 40.0).clamp(0.6, 1.0);
        let turn =
            DVec2::new(self.view.right.dot(at.view.right), -self.view.right.dot(at.view.up)).normalize_or(DVec2::X);
        for (points, own, width) in &self.lines {
            let points: Vec<DVec2> = points.iter().map(|p| at.origin + turn.rotate(*p) * at.scale).collect();
            page.line(points, Pen::new(ink.unwrap_or(*own), width * fine));
        }
    }
}

/// Paper between two looks along a line, mm.
const LOOK: f64 = 0.4;
/// Halvings that find where a line goes behind something: to under 0.02 mm of paper.
const HALVINGS: u32 = 5;

/// The stretches of a line that are seen, on the page.
fn runs(scene: &Scene, e: &Edge, at: &Place) -> Vec<Vec<DVec2>> {
    let through = if let Of::Plate(i) = e.of { Some(i) } else { None };
    let sees = |p: DVec3| scene.sees(p, through);
    let mut out: Vec<Vec<DVec2>> = Vec::new();
    let mut run: Vec<DVec2> = Vec::new();
    let Some(first) = e.points.first() else { return out };
    let mut seen = sees(*first);
    if seen {
        run.push(at.put(*first));
    }
    for w in e.points.windows(2) {
        let n = (at.put(w[0]).distance(at.put(w[1])) / LOOK).ceil().clamp(1.0, 4000.0) as usize;
        for k in 1..=n {
            let (mut a, mut b) = ((k - 1) as f64 / n as f64, k as f64 / n as f64);
            let there = sees(w[0].lerp(w[1], b));
            if there != seen {
                for _ in 0..HALVINGS {
                    let mid = 0.5 * (a + b);
                    if sees(w[0].lerp(w[1], mid)) == seen { a = mid } else { b = mid }
                }
                run.push(at.put(w[0].lerp(w[1], 0.5 * (a + b))));
                if seen {
                    out.push(std::mem::take(&mut run));
                }
                seen = there;
            }
        }
        if seen {
            run.push(at.put(w[1]));
        }
    }
    out.push(run);
    // Specks that a line leaves where it grazes something.
    out.retain(|r| r.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>() > 0.5 * LOOK);
    out
}

/// The frame in small, with one tube picked out.
pub fn small(page: &mut Page, r: &Review, tube: usize, at: DVec2, width: f64, height: f64) {
    let view = View::slant();
    let place = place(r, view, at, DVec2::new(width, height), false, false);
    for i in (0..r.shape.tubes.len()).filter(|i| *i != tube) {
        page.line(centreline(r, i, &place), Pen::new(Ink::Pale, 0.25));
    }
    let thick = (2.0 * r.shape.tubes[tube].outline.reach() * place.scale).clamp(0.9, 4.0);
    page.line(centreline(r, tube, &place), Pen::new(Ink::Accent, thick));
}
