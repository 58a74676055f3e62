//! Surfaces of tubes, plates and skins as triangles for the screen.

use std::hash::Hasher;

use design::TubeState;
use geometry::{DVec3, Outline, Segment};
use packet::exchange::mesh::{self, Fineness};
use review::Review;
use rustc_hash::FxHasher;
use shape::Tube;

use crate::wire::{BodyHead, BodyKind};

/// On a screen a tube of 24 sides looks round, and a bend's outside may stray from its arc by half a millimetre.
const SCREEN: Fineness = Fineness { sagitta: 5e-4, round: 24, side: 2, wall: 1 };

/// A body for the screen.
#[derive(Clone, Debug)]
pub struct Mesh {
    /// Name.
    pub name: String,
    /// What it is.
    pub kind: BodyKind,
    /// Points, m.
    pub points: Vec<[f32; 3]>,
    /// Triangles.
    pub triangles: Vec<[u32; 3]>,
    /// Of its points and triangles.
    pub key: u64,
}

impl Mesh {
    fn new(name: String, kind: BodyKind, points: Vec<[f32; 3]>, triangles: Vec<[u32; 3]>) -> Mesh {
        let mut h = FxHasher::default();
        h.write(name.as_bytes());
        h.write_u8(kind as u8);
        for x in points.iter().flatten() {
            h.write_u32(x.to_bits());
        }
        for i in triangles.iter().flatten() {
            h.write_u32(*i);
        }
        Mesh { name, kind, points, triangles, key: h.finish() }
    }

    /// Its entry in a view, without numbers.
    pub fn head(&self) -> BodyHead {
        BodyHead { name: self.name.clone(), kind: self.kind, key: format!("{:016x}", self.key), sent: None }
    }
}

fn single(p: DVec3) -> [f32; 3] {
    [p.x as f32, p.y as f32, p.z as f32]
}

/// All bodies: pieces as they are cut, tubes whose place is not decided, plates, skins.
pub fn meshes(r: &Review) -> Vec<Mesh> {
    let shape = &r.shape;
    let kind = |name: &str| match shape.find(name).map(|i| shape.tubes[i].state) {
        Some(TubeState::Temporary) => BodyKind::Temporary,
        Some(_) => BodyKind::Tube,
        None => BodyKind::Plate,
    };
    let cut = mesh::frame(r, SCREEN).into_iter().enumerate().map(|(k, b)| {
        let kind = if k < r.cutting.pieces.len() { kind(&b.name) } else { BodyKind::Plate };
        Mesh::new(b.name, kind, b.points.into_iter().map(single).collect(), b.triangles)
    });
    let open = shape.tubes.iter().filter(|t| t.state == TubeState::Provisional).map(swept);
    let skins = shape.skins.list.iter().map(|s| {
        let points = s.surface.vertices().iter().copied().map(single).collect();
        Mesh::new(s.name.clone(), BodyKind::Skin, points, s.surface.triangles().to_vec())
    });
    cut.chain(open).chain(skins).collect()
}

/// Steps along a bend of a tube that is not cut, rad.
const STEP: f64 = 0.1;

/// A tube with square ends.
fn swept(t: &Tube) -> Mesh {
    let round = if matches!(t.outline, Outline::Circle { .. }) { 24 } else { 32 };
    let around: Vec<_> = (0..round)
        .map(|i| t.outline.point(t.outline.station(t.outline.perimeter() * f64::from(i) / f64::from(round))))
        .collect();
    let mut points = Vec::new();
    for (seg, frame) in t.chain.segments.iter().zip(&t.frames) {
        let (l, n) =
            (seg.length(), if let Segment::Arc { sweep, .. } = seg { (sweep / STEP).ceil() as usize } else { 1 });
        for i in 0..=n {
            let s = l * i as f64 / n as f64;
            let f = match *seg {
                Segment::Arc { axis, sweep, .. } => frame.turned(axis, sweep * i as f64 / n as f64),
                Segment::Leg { .. } => *frame,
            }
            .at(seg.point(s));
            points.extend(around.iter().map(|q| single(f.origin + f.u * q.x + f.v * q.y)));
        }
    }
    let (n, rings) = (round, points.len() as u32 / round);
    let mut triangles = Vec::new();
    for k in 0..rings.saturating_sub(1) {
        for i in 0..n {
            let j = (i + 1) % n;
            let [a, b, c, d] = [k * n + i, k * n + j, (k + 1) * n + j, (k + 1) * n + i];
            triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    let last = rings.saturating_sub(1) * n;
    for i in 1..n - 1 {
        triangles.extend([[0, i + 1, i], [last, last + i, last + i + 1]]);
    }
    Mesh::new(t.name.clone(), BodyKind::Provisional, points, triangles)
}
