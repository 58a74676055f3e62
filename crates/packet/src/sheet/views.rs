//! The frame seen from a side, or at a slant: tubes as outlined strokes, far ones first.

use geometry::{DVec3, Segment};
use glam::DVec2;
use review::{Review, Text};
use shape::Tube;
use shape::bodies::BodyKind;

use super::extent;
use super::layout::{SMALL, Sheets};
use super::page::{Anchor, Ink, Page, Pen, THIN};

/// A direction of looking.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// To the right on the page.
    right: DVec3,
    /// Up the page.
    up: DVec3,
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
        let (turn, rise): (f64, f64) = (0.75, 0.40);
        let eye = DVec3::new(turn.cos() * rise.cos(), turn.sin() * rise.cos(), rise.sin());
        let right = DVec3::Z.cross(eye).normalize();
        View { right, up: eye.cross(right) }
    }

    fn flat(&self, p: DVec3) -> DVec2 {
        DVec2::new(p.dot(self.right), -p.dot(self.up))
    }

    /// Towards the eye.
    fn depth(&self, p: DVec3) -> f64 {
        p.dot(self.right.cross(self.up))
    }
}

/// A straight stretch of tube to be drawn.
struct Stroke {
    line: [DVec3; 2],
    /// The same, a little longer: its paper covers the seams of its neighbours.
    inside: [DVec3; 2],
    /// Whether the tube shows a free end at either side.
    open: [bool; 2],
    depth: f64,
    width: f64,
    tube: usize,
}

fn strokes(r: &Review, view: &View) -> Vec<Stroke> {
    let mut out = Vec::new();
    for (i, t) in r.shape.tubes.iter().enumerate() {
        let piece = r.cutting.pieces.iter().find(|p| p.tube == i);
        let free = piece.map_or([true; 2], |p| [0, 1].map(|k| matches!(p.ends[k].kind, "square" | "plane")));
        for (q, seg) in t.chain.segments.iter().enumerate() {
            let (first, last) = (q == 0, q + 1 == t.chain.segments.len());
            let n = match seg {
                // Long legs in pieces, so that far and near parts are painted apart.
                Segment::Leg { length, .. } => (length / 0.15).ceil().max(1.0) as usize,
                Segment::Arc { sweep, .. } => (sweep.to_degrees() / 8.0).ceil().max(1.0) as usize,
            };
            for k in 0..n {
                let at = |f: f64| seg.point(seg.length() * (f / n as f64).clamp(0.0, 1.0));
                let line = [at(k as f64), at(k as f64 + 1.0)];
                // A hair of overlap closes the seams.
                let inside = [at(k as f64 - 0.04), at(k as f64 + 1.04)];
                let depth = view.depth(line[0].lerp(line[1], 0.5));
                let open = [first && k == 0 && free[0], last && k + 1 == n && free[1]];
                out.push(Stroke { line, inside, open, depth, width: seen_width(t, view), tube: i });
            }
        }
    }
    out.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    out
}

/// Width of a tube as seen, m: a box tube by the extent of its outline across its axis.
fn seen_width(t: &Tube, view: &View) -> f64 {
    let eye = view.right.cross(view.up);
    let f = &t.frames[0];
    match f.t.cross(eye).try_normalize() {
        Some(across) => 2.0 * t.outline.support(f.across(across)),
        None => 2.0 * t.outline.reach(),
    }
}

/// Bounds of the frame and its wheels on the page, m.
fn bounds(r: &Review, view: &View, bodies: bool) -> (DVec2, DVec2) {
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
    if bodies {
        for (_, c) in r.shape.bodies.iter().filter(|b| b.kind == BodyKind::Wheel).flat_map(|b| &b.parts) {
            let (a, b) = c.bounds();
            for k in 0..8 {
                let pick = |i: usize| if k >> i & 1 == 0 { a[i] } else { b[i] };
                add(view.flat(DVec3::new(pick(0), pick(1), pick(2))), 0.0);
            }
        }
    }
    (lo, hi)
}

/// Largest scale, mm of paper to a metre: half size, so that a single short tube isn't blown up.
const LARGEST: f64 = 500.0;

/// Draws the frame into a box of the page; returns the scale (mm of paper to a metre) and where the origin lies.
pub fn draw(page: &mut Page, r: &Review, view: &View, at: DVec2, size: DVec2, bodies: bool) -> (f64, DVec2) {
    let (lo, hi) = bounds(r, view, bodies);
    let span = (hi - lo).max(DVec2::splat(1e-3));
    let scale = (size.x / span.x).min(size.y / span.y).min(LARGEST);
    let origin = at + size / 2.0 - (lo + hi) / 2.0 * scale;
    if bodies {
        outlines(page, r, view, scale, origin);
    }
    paint(page, r, view, scale, origin, None);
    (scale, origin)
}

/// Width of a tube's edges, mm.
const EDGE: f64 = 0.2;

fn paint(page: &mut Page, r: &Review, view: &View, scale: f64, origin: DVec2, only: Option<usize>) {
    let put = |p: &DVec3| origin + view.flat(*p) * scale;
    for s in strokes(r, view) {
        let w = (s.width * scale).max(0.35);
        let line: Vec<DVec2> = s.line.iter().map(put).collect::<Vec<_>>();
        let state = r.shape.tubes[s.tube].state;
        let ink = match (only, state) {
            (Some(k), _) if k == s.tube => Ink::Accent,
            (Some(_), _) => Ink::Pale,
            (None, design::TubeState::Permanent) => Ink::Black,
            (None, _) => Ink::Grey,
        };
        if w < 0.9 || only.is_some() {
            page.line(line, Pen::new(ink, if ink == Ink::Accent { w.max(0.9) } else { w.min(0.3) }));
        } else {
            let across = (line[1] - line[0]).perp().normalize_or_zero() * (w / 2.0);
            let [a, b] = s.inside.map(|p| put(&p));
            page.area([a - across, b - across, b + across, a + across], Some(Ink::Paper), None);
            for side in [-across, across] {
                page.line([a + side, b + side], Pen::new(ink, EDGE));
            }
            for (end, p) in s.open.iter().zip(&line) {
                if *end {
                    page.line([*p - across, *p + across], Pen::new(ink, EDGE));
                }
            }
        }
    }
}

/// Wheels and people, thin.
fn outlines(page: &mut Page, r: &Review, view: &View, scale: f64, origin: DVec2) {
    use geometry::convex::Core;
    let put = |p: DVec3| origin + view.flat(p) * scale;
    for (_, part) in r.shape.bodies.iter().flat_map(|b| &b.parts) {
        let ring = |c: DVec3, u: DVec3, v: DVec3| -> Vec<DVec2> {
            (0..48)
                .map(|k| k as f64 * std::f64::consts::TAU / 48.0)
                .map(|a| put(c + u * a.cos() + v * a.sin()))
                .collect()
        };
        let pen = Pen::new(Ink::Pale, 0.2);
        match &part.core {
            Core::Cylinder(f, half, rad) => {
                for side in [-half, *half] {
                    page.area(ring(f.origin + f.t * side, f.u * *rad, f.v * *rad), None, Some(pen));
                }
            }
            Core::Segment(a, b) => {
                for c in [a, b] {
                    page.area(ring(*c, view.right * part.margin, view.up * part.margin), None, Some(pen));
                }
            }
            Core::Block(f, h) => {
                for s in [-1.0, 1.0] {
                    let c = f.origin + f.t * (h.x * s);
                    let corner = |y: f64, z: f64| put(c + f.u * (h.y * y) + f.v * (h.z * z));
                    page.area([corner(-1., -1.), corner(1., -1.), corner(1., 1.), corner(-1., 1.)], None, Some(pen));
                }
            }
        }
    }
}

/// The frame in small, with one tube picked out.
pub fn small(page: &mut Page, r: &Review, tube: usize, at: DVec2, width: f64, height: f64) {
    let view = View::slant();
    let (lo, hi) = bounds(r, &view, false);
    let span = (hi - lo).max(DVec2::splat(1e-3));
    let scale = (width / span.x).min(height / span.y);
    let origin = at + DVec2::new(width, height) / 2.0 - (lo + hi) / 2.0 * scale;
    paint(page, r, &view, scale, origin, Some(tube));
}

/// Room that a view leaves for its heading, dimensions and scale, mm.
const ROUND: [f64; 2] = [30.0, 30.0];

/// Three views and a slanted one, two to a page, with overall dimensions.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    let views = [
        ("from the left", View::SIDE, Some(("length", "height"))),
        ("from above", View::TOP, Some(("length", "width"))),
        ("from ahead", View::FRONT, Some(("width", "height"))),
        ("from ahead, left and above", View::slant(), None),
    ];
    let half = (s.bottom() - s.top()) / 2.0;
    for (k, (name, view, names)) in views.into_iter().enumerate() {
        if k % 2 == 0 {
            s.start("views");
        }
        let top = s.top() + (k % 2) as f64 * half;
        s.y = top;
        s.heading(&format!("Seen {name}"));
        let at = DVec2::new(s.left() + 16.0, s.y + 3.0);
        let size = DVec2::new(s.width() - ROUND[0], half - ROUND[1]);
        let place = draw(s.page(), r, &view, at, size, true);
        if let Some(names) = names {
            dimensions(s, r, &view, place, t, names);
            bar(s, r, place.0, top + half - 4.0);
        }
    }
}

/// A bar of a round length, and the scale.
fn bar(s: &mut Sheets, r: &Review, scale: f64, y: f64) {
    /// Longest bar, mm.
    const LONGEST: f64 = 60.0;
    let (unit, word, lengths): (f64, _, &[u32]) = match r.shape.design.units {
        design::Units::Mm => (1e-3, "mm", &[1000, 500, 200, 100, 50, 20, 10]),
        design::Units::In => (0.0254, "in", &[40, 20, 10, 5, 2, 1]),
    };
    let fits = |n: &&u32| f64::from(**n) * unit * scale <= LONGEST;
    let Some(n) = lengths.iter().find(fits) else { return };
    let long = f64::from(*n) * unit * scale;
    let left = s.left();
    let page = s.page();
    page.rect(DVec2::new(left, y), DVec2::new(long, 1.4), Some(Ink::Black), None);
    page.text(left + long + 2.0, y + 1.7, SMALL, format!("{n} {word}; drawn at 1 : {:.1}", 1e3 / scale));
}

fn dimensions(s: &mut Sheets, r: &Review, view: &View, place: (f64, DVec2), t: &Text, names: (&str, &str)) {
    let (scale, origin) = place;
    let to = |d: DVec3| extent::frame(r, d);
    let lo = DVec2::new(-to(-view.right), -to(view.up));
    let hi = DVec2::new(to(view.right), to(-view.up));
    let (a, b) = (origin + lo * scale, origin + hi * scale);
    let page = s.page();
    let y = b.y + 9.0;
    let tick = |page: &mut Page, p: DVec2, d: DVec2| page.line([p - d, p + d], THIN);
    page.line([DVec2::new(a.x, y), DVec2::new(b.x, y)], THIN);
    tick(page, DVec2::new(a.x, y), DVec2::new(0.0, 1.5));
    tick(page, DVec2::new(b.x, y), DVec2::new(0.0, 1.5));
    page.text((a.x + b.x) / 2.0, y - 1.0, 3.2, format!("frame {} {}", names.0, t.length_unit(hi.x - lo.x)))
        .anchor(Anchor::Middle);
    let x = a.x - 7.0;
    page.line([DVec2::new(x, a.y), DVec2::new(x, b.y)], THIN);
    tick(page, DVec2::new(x, a.y), DVec2::new(1.5, 0.0));
    tick(page, DVec2::new(x, b.y), DVec2::new(1.5, 0.0));
    page.text(x - 1.0, (a.y + b.y) / 2.0, 3.2, format!("{} {}", names.1, t.length_unit(hi.y - lo.y)))
        .anchor(Anchor::Middle)
        .turn(-std::f64::consts::FRAC_PI_2);
    if view.up == DVec3::Z {
        let z = origin.y - r.shape.datum * scale;
        page.line([DVec2::new(a.x - 4.0, z), DVec2::new(b.x + 4.0, z)], Pen::new(Ink::Accent, 0.25).dashed(3.0));
        page.text(b.x + 5.0, z + 0.9, SMALL, "datum").ink(Ink::Accent);
    }
}
