//! The hull's faces as seen by the centre of gravity: heights, feet, margins, solid angles, and which way each falls.

use geometry::{DVec3, Facet, Round, RoundHull, facets, round_hull};

/// Triangles within this part of the size of one plane are one face: ten times what rounding leaves of a touching plane.
pub const ONE_PLANE: f64 = 1e-10;

/// A foot beyond an edge by less than this part of the size still counts as on it, so that rounding does not make
/// two faces fall onto each other.
pub const ON_EDGE: f64 = 1e-10;

/// One face.
#[derive(Clone, Debug)]
pub(crate) struct Face {
    pub normal: DVec3,
    /// Height of the centre of gravity over it.
    pub height: f64,
    pub foot: DVec3,
    pub corners: Vec<u32>,
    pub across: Vec<u32>,
    /// Distance of the foot inside of each edge; of a chord that stands for a curve, from the curve. Infinite for an edge
    /// without length.
    pub margins: Vec<f64>,
    /// Height of the centre of gravity over the nearest place of the curve that a chord stands for; zero for edges.
    pub crests: Vec<f64>,
    /// Share of all directions in which it lies.
    pub share: f64,
    /// A true flat face, not a chord across a round place.
    pub flat: bool,
    /// The edge that it falls over, unless it rests.
    pub falls: Option<usize>,
}

pub(crate) struct Faces {
    pub round: RoundHull,
    pub faces: Vec<Face>,
    pub centre: DVec3,
    /// The face on which each comes to rest.
    pub sink: Vec<u32>,
}

impl Faces {
    pub fn new(round: RoundHull, pieces: &[Round], centre: DVec3) -> Faces {
        let size = round.size;
        let raw = facets(&round.hull, ONE_PLANE * size);
        let only_points = pieces.iter().all(|p| p.bounds().1 == 0.0);
        let faces: Vec<Face> = raw
            .into_iter()
            .map(|f| {
                let height = f.offset - f.normal.dot(centre);
                let flat = only_points || is_flat(&round, pieces, &f);
                let mut face = Face {
                    normal: f.normal,
                    height,
                    foot: centre + f.normal * height,
                    corners: f.corners,
                    across: f.across,
                    margins: Vec::new(),
                    crests: Vec::new(),
                    share: 0.0,
                    flat,
                    falls: None,
                };
                face.measure(&round, pieces, centre, size);
                face
            })
            .collect();
        let mut out = Faces { round, faces, centre, sink: Vec::new() };
        out.carry();
        out
    }

    pub fn at(&self, corner: u32) -> DVec3 {
        self.round.hull.points[corner as usize]
    }

    /// The ends of an edge of a face.
    pub fn edge(&self, face: u32, k: usize) -> (u32, u32) {
        let c = &self.faces[face as usize].corners;
        (c[k], c[(k + 1) % c.len()])
    }

    /// The highest that the centre of gravity stands while the body rolls over an edge between two faces.
    pub fn crest(&self, face: u32, k: usize) -> f64 {
        let f = &self.faces[face as usize];
        let g = &self.faces[f.across[k] as usize];
        let (a, b) = self.edge(face, k);
        let (a, b) = (self.at(a) - self.centre, self.at(b) - self.centre);
        let e = b - a;
        let inner = |n: DVec3, e: DVec3| a.dot(e.cross(n)) >= 0.0;
        let (p, q) = self.edge(face, k);
        let back = (0..g.corners.len()).find(|&i| self.edge(f.across[k], i) == (q, p));
        let curve = f.crests[k].max(back.map_or(0.0, |i| g.crests[i]));
        let ends = f.height.max(g.height).max(curve);
        if inner(f.normal, e) && inner(g.normal, -e) {
            (a.cross(b).length() / e.length().max(f64::MIN_POSITIVE)).max(ends)
        } else {
            ends
        }
    }

    /// Follows every face down to where it rests. A face that falls always falls to a lower one, since its foot lies
    /// beyond the edge; should rounding say otherwise it rests there.
    fn carry(&mut self) {
        let mut order: Vec<u32> = (0..self.faces.len() as u32).collect();
        order.sort_by(|a, b| self.faces[*a as usize].height.total_cmp(&self.faces[*b as usize].height));
        let mut sink = vec![u32::MAX; self.faces.len()];
        for i in order {
            let f = &self.faces[i as usize];
            sink[i as usize] = match f.falls.map(|k| sink[f.across[k] as usize]) {
                Some(s) if s != u32::MAX => s,
                _ => {
                    self.faces[i as usize].falls = None;
                    i
                }
            };
        }
        self.sink = sink;
    }
}

/// Whether a face of the polyhedron is one of the true hull: it touches three pieces, or one along a curve, and nothing
/// reaches beyond it.
fn is_flat(round: &RoundHull, pieces: &[Round], f: &Facet) -> bool {
    let level = |p: u32| pieces[p as usize].flat().is_some_and(|x| x.cross(f.normal).length() < geometry::PARALLEL);
    // Up to two different pieces, and whether there is a third.
    let (mut of, mut two) = ([u32::MAX; 2], 0);
    let mut enough = false;
    for p in f.corners.iter().map(|c| round.piece[*c as usize]).filter(|p| *p != u32::MAX) {
        if of.contains(&p) {
            continue;
        }
        enough = two == 2 || level(p);
        if enough {
            break;
        }
        of[two] = p;
        two += 1;
    }
    enough && round.reach(f.normal) - f.offset <= round_hull::SAME_PART * round.size
}

/// The place of a corner of a flat face: where the face touches the piece, if the corner is so near to it that its plane
/// can't tell.
pub(crate) fn touched(round: &RoundHull, pieces: &[Round], normal: DVec3, corner: u32) -> DVec3 {
    let (at, piece) = (round.hull.points[corner as usize], round.piece[corner as usize] as usize);
    let Some(p) = pieces.get(piece).filter(|p| p.bounds().1 > 0.0) else { return at };
    if p.flat().is_some_and(|x| x.cross(normal).length() < geometry::PARALLEL) {
        return at;
    }
    let place = p.place(normal);
    if place.distance(at) < round_hull::ON_RIM * round.size { place } else { at }
}

impl Face {
    /// Margins, share, and the edge that it falls over.
    fn measure(&mut self, round: &RoundHull, pieces: &[Round], centre: DVec3, size: f64) {
        let at =
            |c: u32| if self.flat { touched(round, pieces, self.normal, c) } else { round.hull.points[c as usize] };
        let n = self.corners.len();
        if n < 3 {
            return;
        }
        let (mut area, mut middle) = (0.0, DVec3::ZERO);
        let first = at(self.corners[0]);
        for k in 1..n - 1 {
            let (b, c) = (at(self.corners[k]), at(self.corners[k + 1]));
            let part = (b - first).cross(c - first).dot(self.normal);
            area += part;
            middle += ((b - first) + (c - first)) * (part / 3.0);
            let [a, b, c] = [0, k, k + 1].map(|k| round.hull.points[self.corners[k] as usize] - centre);
            self.share += solid_angle(a, b, c) / (4.0 * std::f64::consts::PI);
        }
        let middle = if area > 0.0 { first + middle / area } else { first };
        let mut best = f64::INFINITY;
        self.margins.reserve_exact(n);
        self.crests.reserve_exact(n);
        for k in 0..n {
            let (i, j) = (self.corners[k], self.corners[(k + 1) % n]);
            let (a, b) = (at(i), at(j));
            let inward = self.normal.cross(b - a).normalize_or_zero();
            let straight = (self.foot - a).dot(inward);
            let (mut margin, mut crest, mut held) = (straight, 0.0, false);
            let (pi, pj) = (round.piece[i as usize], round.piece[j as usize]);
            if self.flat
                && pi == pj
                && let Some((gap, within, r)) = from_curve(&pieces[pi as usize], self.normal, a, b, self.foot)
            {
                margin = if within { gap } else { gap.copysign(straight) };
                held = within && gap >= 0.0;
                if margin > 0.0 {
                    crest = (self.height - r).hypot(margin) + r;
                }
            }
            if a.distance(b) <= round_hull::SAME_PART * size {
                (margin, crest, held) = (f64::INFINITY, 0.0, true);
            }
            self.crests.push(crest);
            if straight < -ON_EDGE * size && !held {
                let own = (middle - a).dot(inward);
                let t = own / (own - straight);
                if t < best {
                    best = t;
                    self.falls = Some(k);
                }
            }
            self.margins.push(margin);
        }
    }
}

/// For a chord whose ends lie on a curve that lies flat: the foot's distance from that part of the curve, whether the
/// foot lies within the sector that the chord spans (then negative beyond the curve), and the rounding there.
fn from_curve(piece: &Round, normal: DVec3, a: DVec3, b: DVec3, foot: DVec3) -> Option<(f64, bool, f64)> {
    let axis = piece.flat()?;
    let (Round::Ring { centre, big, r, .. } | Round::Arc { centre, big, r, .. }) = *piece else { return None };
    if axis.cross(normal).length() > geometry::PARALLEL {
        return None;
    }
    let centre = centre + normal * normal.dot(foot - centre);
    let (d, a, b) = (foot - centre, a - centre, b - centre);
    // Two ends of an arc are joined by a straight edge, seen from the centre's far side or from far apart.
    if a.cross(b).dot(normal) <= 0.0 || a.angle_between(b) > WIDEST_CHORD {
        return None;
    }
    let within = d.length() == 0.0 || (a.cross(d).dot(normal) >= 0.0 && d.cross(b).dot(normal) >= 0.0);
    Some((if within { big - d.length() } else { d.distance(a).min(d.distance(b)) }, within, r))
}

/// Neighbours on a sampled curve are nearer than this (rad); it is sampled at least three times.
const WIDEST_CHORD: f64 = 2.1;

/// Solid angle of a triangle seen from the origin, signed (Van Oosterom and Strackee, 1983).
pub(crate) fn solid_angle(a: DVec3, b: DVec3, c: DVec3) -> f64 {
    let (x, y, z) = (a.length(), b.length(), c.length());
    2.0 * a.dot(b.cross(c)).atan2(x * y * z + a.dot(b) * z + b.dot(c) * x + c.dot(a) * y)
}
