//! Skins: body panels and other given surfaces, placed, and how near the tubes come to them.

mod contour;
mod findings;

use std::ops::Range;
use std::sync::Arc;

use design::{Design, WheelId};
use geometry::convex::{Core, swept};
use geometry::distance::point_segment;
use geometry::{Convex, DMat3, DVec3, Nearest, Surface};
use mesh::{Dropped, Edges, Mesh};

use crate::Shape;
use crate::finding::less;
use crate::places::twin;

pub use contour::Contour;
pub use findings::findings;

/// A skin, or a twin, in space.
#[derive(Clone, Debug)]
pub struct Skin {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// Index in [`Design::skins`].
    pub id: usize,
    /// Whether this is the twin.
    pub twin: bool,
    /// Whether it holds when the car lies on it.
    pub hard: bool,
    /// Least distance wanted between it and any tube, m.
    pub gap: f64,
    /// The wheel that it rides with (for a twin: with that wheel's twin); with the frame if there is none.
    pub rides: Option<WheelId>,
    /// The surface, m.
    pub surface: Arc<Surface>,
    /// Named parts, each with its triangles.
    pub parts: Vec<mesh::Part>,
    /// What can be on its outline; a twin's is that of its skin.
    contour: Arc<Contour>,
    /// What its edges tell.
    pub edges: Edges,
    /// Triangles of its file that were left out.
    pub dropped: Dropped,
}

/// A skin that could not be placed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    /// Index in [`Design::skins`].
    pub id: usize,
    /// Why, in one sentence without a full stop.
    pub why: String,
}

/// The skins of a shape.
#[derive(Clone, Debug, Default)]
pub struct Skins {
    /// Those that were placed, twins included; a twin follows its skin.
    pub list: Vec<Skin>,
    /// Those that were not.
    pub missing: Vec<Missing>,
    /// Whether meshes were given at all.
    pub given: bool,
}

/// Places meshes: one for each skin of the design, in order, or why there is none.
///
/// A mesh without a part that the design names is a skin that is missing. Meshes beyond the design's skins are ignored;
/// skins without an entry are missing.
pub fn place(design: &Design, meshes: &[Result<Mesh, String>]) -> Skins {
    let mut out = Skins { given: true, ..Skins::default() };
    for (id, s) in design.skins.iter().enumerate() {
        let mesh = match meshes.get(id) {
            Some(Ok(m)) => m,
            Some(Err(why)) => {
                out.missing.push(Missing { id, why: why.clone() });
                continue;
            }
            None => {
                out.missing.push(Missing { id, why: "its mesh was not given".into() });
                continue;
            }
        };
        let chosen;
        let mesh = if s.parts.is_empty() {
            mesh
        } else {
            match mesh.only(&s.parts) {
                Ok(m) => {
                    chosen = m;
                    &chosen
                }
                Err(name) => {
                    out.missing.push(Missing { id, why: no_part(name, mesh) });
                    continue;
                }
            }
        };
        if mesh.triangles.is_empty() {
            out.missing.push(Missing { id, why: "its mesh has no triangles".into() });
            continue;
        }
        let turn =
            DMat3::from_rotation_z(s.turn.z) * DMat3::from_rotation_y(s.turn.y) * DMat3::from_rotation_x(s.turn.x);
        let vertices: Vec<DVec3> = mesh.vertices.iter().map(|&p| s.at + turn * (p * s.unit)).collect();
        let sides = mesh.sides();
        let skin = Skin {
            name: s.name.clone(),
            id,
            twin: false,
            hard: s.hard,
            gap: s.gap,
            rides: s.rides,
            contour: Arc::new(Contour::new(&vertices, &mesh.triangles, &mesh.parts, &sides)),
            surface: Arc::new(Surface::new(vertices, mesh.triangles.clone())),
            parts: mesh.parts.clone(),
            edges: sides.count(),
            dropped: mesh.dropped,
        };
        let image = s.mirror.then(|| skin.mirrored());
        out.list.push(skin);
        out.list.extend(image);
    }
    out
}

/// Most names of parts told in a message.
const TOLD: usize = 8;

fn no_part(name: &str, mesh: &Mesh) -> String {
    let names = mesh.names();
    match names.len() {
        0 => format!("it has no part `{name}`: its parts have no names"),
        n => {
            let more = if n > TOLD { format!(" and {} more", n - TOLD) } else { String::new() };
            let shown: Vec<&str> = names.into_iter().take(TOLD).collect();
            format!("it has no part `{name}`; it has {}{more}", shown.join(", "))
        }
    }
}

impl Skin {
    fn mirrored(&self) -> Skin {
        let vertices = self.surface.vertices().iter().map(|&p| twin(p, true)).collect();
        // Mirrored, the corners would run the other way.
        let triangles = self.surface.triangles().iter().map(|&[a, b, c]| [a, c, b]).collect();
        Skin {
            name: design::twin_name(&self.name, true),
            twin: true,
            surface: Arc::new(Surface::new(vertices, triangles)),
            ..self.clone()
        }
    }

    /// The edges of a part (by its place in [`Skin::parts`]) that may be on its outline as seen along `across` (unit):
    /// the outline of what is seen is made of some of them.
    pub fn outline(&self, part: usize, across: DVec3) -> impl Iterator<Item = [DVec3; 2]> {
        let v = self.surface.vertices();
        // A mirror image is seen as its skin is from the other side.
        let across = twin(across, self.twin);
        self.contour.edges(part, across).map(|e| e.map(|i| v[i as usize]))
    }

    /// The corners of its convex hull; all vertices if it is flat.
    pub fn hull(&self) -> Vec<DVec3> {
        // Corners that no triangle uses do not count.
        let v = self.surface.vertices();
        let mut used = vec![false; v.len()];
        self.surface.triangles().iter().flatten().for_each(|&i| used[i as usize] = true);
        let points: Vec<DVec3> = v.iter().zip(used).filter(|(_, u)| *u).map(|(p, _)| *p).collect();
        geometry::Hull::corners(points)
    }
}

/// How near a tube comes to a skin.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Near {
    /// Name of the tube.
    pub tube: String,
    /// Name of the skin.
    pub skin: String,
    /// Named part of the skin that is nearest; empty if the file gives none.
    pub part: String,
    /// Distance between the surfaces, m; below zero the tube comes through by so much at the nearest place.
    pub distance: f64,
    /// Whether the tube's axis crosses the skin (for a box tube, its section within its rounded corners).
    pub crosses: bool,
    /// Nearest place on the skin, m.
    pub at: DVec3,
    /// Least distance wanted, m.
    pub gap: f64,
    /// A straight move of the whole tube that clears this skin, m; none if it clears or if no move within
    /// [`FARTHEST_MOVE`] was found.
    #[serde(rename = "move")]
    pub shift: Option<DVec3>,
}

impl Near {
    /// Whether it comes through or nearer than is wanted.
    pub fn too_near(&self) -> bool {
        less(self.distance, self.gap.max(0.0))
    }
}

/// A move longer than this helps nobody: it is another design, m.
pub const FARTHEST_MOVE: f64 = 0.5;
/// A move stops within this of the place where it just clears, m.
pub const MOVE_END: f64 = 1e-5;
/// Most steps of one move. Near the end a step halves what is left at least where the skin leans by 60 degrees.
const MOVE_STEPS: usize = 60;

/// The least distance of every tube to every skin, the nearest first. Temporary tubes count: they stand while the body
/// is fitted; provisional ones too.
pub fn distances(shape: &Shape) -> Vec<Near> {
    let mut out = Vec::new();
    let bodies: Vec<Parts> = shape.tubes.iter().map(|t| Parts::new(swept(&t.chain, &t.frames, &t.outline))).collect();
    for s in &shape.skins.list {
        for (t, parts) in shape.tubes.iter().zip(&bodies) {
            let Some(n) = nearest(&s.surface, parts, DVec3::ZERO, f64::MAX) else { continue };
            let part = s.parts.iter().find(|p| p.range.contains(&n.triangle)).map_or("", |p| &p.name);
            let mut near = Near {
                tube: t.name.clone(),
                skin: s.name.clone(),
                part: part.to_owned(),
                distance: n.distance,
                crosses: n.core == 0.0,
                at: n.to,
                gap: s.gap,
                shift: None,
            };
            if near.too_near() {
                near.shift = clearing(&s.surface, parts, &n, s.gap);
            }
            out.push(near);
        }
    }
    out.sort_by(|a, b| (a.distance - a.gap).total_cmp(&(b.distance - b.gap)));
    out
}

/// Most chords of an arc under one cover.
const UNDER_COVER: usize = 16;

/// The convex parts of a tube. A run of chords stands under a capsule that holds them all: what the cover does not come
/// near to, none of them does.
struct Parts {
    all: Vec<Convex>,
    runs: Vec<(Convex, Range<usize>)>,
}

impl Parts {
    fn new(all: Vec<Convex>) -> Parts {
        let mut runs = Vec::new();
        let mut i = 0;
        while i < all.len() {
            let from = i;
            i += 1;
            while i < all.len() && i - from < UNDER_COVER && follows(&all[i - 1], &all[i]) {
                i += 1;
            }
            runs.push((cover(&all[from..i]), from..i));
        }
        Parts { all, runs }
    }
}

/// Whether a capsule starts where the one before it ends.
fn follows(a: &Convex, b: &Convex) -> bool {
    matches!((&a.core, &b.core), (Core::Segment(_, end), Core::Segment(start, _)) if end == start)
        && a.margin == b.margin
}

fn cover(run: &[Convex]) -> Convex {
    let (Some(Core::Segment(a, _)), Some(Core::Segment(_, b))) =
        (run.first().map(|p| &p.core), run.last().map(|p| &p.core))
    else {
        return run[0].clone();
    };
    let strays = run.iter().map(|p| match p.core {
        Core::Segment(p, q) => point_segment(p, *a, *b).0.max(point_segment(q, *a, *b).0),
        _ => 0.0,
    });
    Convex::capsule(*a, *b, run[0].margin + strays.fold(0.0, f64::max))
}

/// The nearest place of a tube, moved by `shift`, that lies nearer than `within`.
fn nearest(s: &Surface, parts: &Parts, shift: DVec3, within: f64) -> Option<Nearest> {
    let mut best: Option<Nearest> = None;
    for (cover, run) in &parts.runs {
        let limit = |best: Option<Nearest>| best.map_or(within, |b| b.distance);
        if run.len() > 1 && s.nearest(cover, shift, limit(best)).is_none() {
            continue;
        }
        for p in &parts.all[run.clone()] {
            if let Some(n) = s.nearest(p, shift, limit(best)) {
                best = Some(n);
            }
        }
    }
    best
}

/// The shortest straight move found that brings the tube `gap` clear of the surface.
fn clearing(s: &Surface, parts: &Parts, n: &Nearest, gap: f64) -> Option<DVec3> {
    let mut ways = vec![s.normal(n.triangle), (n.from - n.to).normalize_or_zero()];
    // Doubly wound sheets cancel out in a plain mean; normals are turned to the side of the nearest triangle.
    let mut mean = DVec3::ZERO;
    for t in parts.all.iter().flat_map(|p| s.near(p, gap)) {
        let [a, b, c] = s.corners(t);
        let area = (b - a).cross(c - a);
        mean += if area.dot(ways[0]) < 0.0 { -area } else { area };
    }
    ways.push(mean.normalize_or_zero());
    let mut best: Option<f64> = None;
    let mut out = None;
    for way in ways.into_iter().filter(|w| *w != DVec3::ZERO) {
        for way in [way, -way] {
            if let Some(t) = travel(s, parts, way, gap, best.unwrap_or(FARTHEST_MOVE)) {
                best = Some(t);
                out = Some(way * t);
            }
        }
    }
    out
}

/// How far along a direction until the distance is `gap`, if that is less than `most`. The distance can't change faster
/// than the place, so no step passes the first place that clears.
fn travel(s: &Surface, parts: &Parts, way: DVec3, gap: f64, most: f64) -> Option<f64> {
    let mut t = 0.0;
    for _ in 0..MOVE_STEPS {
        match nearest(s, parts, way * t, gap) {
            None => return Some(t),
            Some(n) if gap - n.distance <= MOVE_END => {
                // A last step past the end, so that what is told does clear.
                t += 2.0 * MOVE_END;
            }
            Some(n) => t += gap - n.distance,
        }
        if t >= most {
            return None;
        }
    }
    None
}
