//! A tube in space.

use design::{CutSpec, Design, EndSpec, PlaneSpec, Problem, SectionId, SectionShape, TubeId, TubeState};
use geometry::{Chain, DVec3, Frame, Outline, Segment};

use crate::locate::Located;
use crate::places::twin;

/// One end of a tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum End {
    /// At the first point of its path.
    Start,
    /// At the last.
    End,
}

impl End {
    /// Both, in order.
    pub const BOTH: [End; 2] = [End::Start, End::End];

    /// `start` or `end`.
    pub fn word(self) -> &'static str {
        match self {
            End::Start => "start",
            End::End => "end",
        }
    }
}

/// A tube, or a twin, in space.
#[derive(Clone, Debug)]
pub struct Tube {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// The tube of the design.
    pub id: TubeId,
    /// Whether this is the twin.
    pub twin: bool,
    /// Section.
    pub section: SectionId,
    /// Permanent, temporary or provisional.
    pub state: TubeState,
    /// Centreline, start to end.
    pub chain: Chain,
    /// Frames at the start of each segment and at the end: `t` along the tube, `u` towards the scribe line. A twin's
    /// frames are the mirror image of its tube's, so angles round it run the other way.
    pub frames: Vec<Frame>,
    /// Outside outline; x lies along `u`.
    pub outline: Outline,
    /// Inside outline.
    pub bore: Outline,
    /// Wall, m.
    pub wall: f64,
    /// The end specifications, with tubes as indices into the shape's tubes.
    pub ends: [EndWish; 2],
}

/// What the design says of an end, for this tube or twin.
#[derive(Clone, Debug, PartialEq)]
pub struct EndWish {
    /// How it is to be cut. A plane's references are still those of the design: see [`Tube::plane`].
    pub cut: CutSpec,
    /// Tubes to cope to or mitre with, if the design names them.
    pub to: Vec<usize>,
    /// Root gap, m.
    pub gap: f64,
    /// Left longer than its longest point, m.
    pub long: f64,
}

impl Tube {
    /// Frame at an end, with `t` pointing out of the tube.
    pub fn outward(&self, end: End) -> Frame {
        match end {
            End::Start => self.frames[0].reversed(),
            End::End => self.frames[self.frames.len() - 1],
        }
    }

    /// The section's frame at a distance along the centreline: carried with the material round bends.
    pub fn frame_at(&self, s: f64) -> Frame {
        let (i, d) = self.chain.locate(s);
        let f = self.frames[i];
        match self.chain.segments[i] {
            Segment::Leg { .. } => f.at(self.chain.point(s)),
            Segment::Arc { axis, radius, .. } => f.turned(axis, d / radius).at(self.chain.point(s)),
        }
    }

    /// The straight leg at an end: its length, m.
    pub fn end_leg(&self, end: End) -> f64 {
        let i = match end {
            End::Start => 0,
            End::End => self.chain.segments.len() - 1,
        };
        self.chain.segments[i].length()
    }

    /// Whether it has no bend.
    pub fn is_straight(&self) -> bool {
        self.chain.segments.len() == 1
    }

    /// Farthest extent of the surface in a direction (unit), ends square: the largest dot product.
    pub fn extent(&self, d: DVec3) -> f64 {
        let mut best = f64::NEG_INFINITY;
        for (i, seg) in self.chain.segments.iter().enumerate() {
            let ring = |f: &Frame| f.origin.dot(d) + self.outline.support(f.across(d));
            best = best.max(ring(&self.frames[i])).max(ring(&self.frames[i + 1]));
            if let Segment::Arc { centre, axis, start, radius, sweep } = *seg {
                // Within the arc the farthest place is where its tangent lies square to the direction.
                let t = d.dot(axis.cross(start)).atan2(d.dot(start));
                if (0.0..=sweep).contains(&t) {
                    let f = self.frames[i].turned(axis, t);
                    let at = centre + (start * t.cos() + axis.cross(start) * t.sin()) * radius;
                    best = best.max(ring(&f.at(at)));
                }
            }
        }
        best
    }

    /// The plane that the design gives for an end: a point of it and its normal (unit).
    pub fn plane(&self, end: End, shape: &crate::Shape) -> Option<(DVec3, DVec3)> {
        let CutSpec::Plane(spec) = &self.ends[end as usize].cut else { return None };
        let mirror = |d: DVec3| twin(d, self.twin);
        match spec {
            PlaneSpec::Axis { axis, value } => {
                let n = DVec3::AXES[*axis];
                Some((mirror(n * *value), mirror(n)))
            }
            PlaneSpec::Point { point, normal } => Some((mirror(shape.place(point)), mirror(normal.normalize()))),
            PlaneSpec::Plate { plate, twin } => {
                let wanted = (*plate, *twin != self.twin);
                let p = shape
                    .plates
                    .iter()
                    .find(|p| (p.id, p.twin) == wanted)
                    .or_else(|| shape.plates.iter().find(|p| p.id == *plate))?;
                Some(p.near_face(self.chain.point(self.chain.length() / 2.0)))
            }
        }
    }
}

/// Index of a tube or twin among expanded tubes.
pub(crate) fn index_of(tubes: &[Tube], id: TubeId, twin: bool) -> usize {
    let first = tubes.partition_point(|t| t.id < id);
    if twin && tubes.get(first + 1).is_some_and(|t| t.id == id) { first + 1 } else { first }
}

fn outlines(s: &SectionShape) -> (Outline, Outline, f64) {
    match *s {
        SectionShape::Round { od, wall } => {
            (Outline::Circle { r: od / 2.0 }, Outline::Circle { r: od / 2.0 - wall }, wall)
        }
        SectionShape::Box { width, height, wall, corner } => {
            let o = Outline::RoundRect { half_x: height / 2.0, half_y: width / 2.0, r: corner };
            (o, o.grown(-wall), wall)
        }
    }
}

/// A tube whose axis is steeper than this counts as vertical: its scribe line then faces forward instead of up. About
/// 0.6 degrees, far more than drawing noise and far less than any rake meant as one.
const VERTICAL: f64 = 0.9999;

/// The direction of the scribe line at a tube's start: on the outside of the first bend, or on top of a straight tube
/// (facing forward if the tube is vertical).
fn scribe(chain: &Chain, outline: &Outline) -> DVec3 {
    if let (Outline::Circle { .. }, Some(Segment::Arc { start, .. })) = (outline, chain.segments.get(1)) {
        return *start;
    }
    if chain.first_tangent().z.abs() > VERTICAL { DVec3::X } else { DVec3::Z }
}

/// Every tube and twin, in fitting order.
pub(crate) fn expand(design: &Design, located: &Located) -> Result<Vec<Tube>, Vec<Problem>> {
    let mut out: Vec<Tube> = Vec::new();
    let mut problems = Vec::new();
    for (i, t) in design.tubes.iter().enumerate() {
        let chain = located.chain(i, false);
        let (outline, bore, wall) = outlines(&design.sections[t.section.0].shape);
        let framed = |chain: &Chain| -> Option<Vec<Frame>> {
            Some(chain.frames(scribe(chain, &outline))?.iter().map(|f| f.rolled(t.roll)).collect())
        };
        let Some(frames) = framed(chain) else {
            problems.push(Problem::error(
                format!("tube `{}` has no direction", t.name),
                t.path_span.clone(),
                "its points are too near one another",
            ));
            continue;
        };
        let make = |is_twin: bool, chain: Chain, frames: Vec<Frame>| Tube {
            name: design::twin_name(&t.name, is_twin),
            id: TubeId(i),
            twin: is_twin,
            section: t.section,
            state: t.state,
            chain,
            frames,
            outline,
            bore,
            wall,
            ends: [&t.start, &t.end].map(|e| EndWish {
                cut: e.cut.clone(),
                to: Vec::new(),
                gap: e.gap.unwrap_or(design.limits.gap),
                long: e.long,
            }),
        };
        out.push(make(false, chain.clone(), frames.clone()));
        if t.mirror {
            // The same as the tube's own, as long as they are mirror images.
            let other = located.chain(i, true);
            let frames = if located.places.apart { framed(other) } else { Some(frames) };
            let corners: Vec<DVec3> = other.corners.iter().map(|&c| twin(c, true)).collect();
            if let (Ok(mirrored), Some(frames)) = (Chain::new(&corners, &t.bend_radii), frames) {
                out.push(make(true, mirrored, frames.iter().map(Frame::mirrored).collect()));
            }
        }
    }
    let wishes: Vec<[Vec<usize>; 2]> = out
        .iter()
        .map(|t| {
            let spec = &design.tubes[t.id.0];
            [&spec.start, &spec.end].map(|e: &EndSpec| {
                e.to.iter().map(|r| index_of(&out, r.id, r.twin != t.twin && has_twin(design, r.id))).collect()
            })
        })
        .collect();
    for (t, to) in out.iter_mut().zip(wishes) {
        let [a, b] = to;
        t.ends[0].to = a;
        t.ends[1].to = b;
    }
    if problems.is_empty() { Ok(out) } else { Err(problems) }
}

fn has_twin(design: &Design, id: TubeId) -> bool {
    design.tubes[id.0].mirror
}
