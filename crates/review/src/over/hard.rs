//! What is hard.

use geometry::convex::Core;
use geometry::{DMat3, DVec2, DVec3, Outline, Segment};
use rollover::{HardBody, HardShape};
use shape::bodies::{Body, BodyKind};
use shape::mass::MassProperties;
use shape::{Shape, Tube};

/// Whether a body counts: people never; a mass as the design says; wheels always.
fn holds(shape: &Shape, b: &Body, whole: bool) -> bool {
    match b.kind {
        BodyKind::Occupant => false,
        BodyKind::Wheel => true,
        BodyKind::Mass => whole || mass_of(shape, b).is_none_or(|m| m.hard),
    }
}

fn mass_of<'a>(shape: &'a Shape, b: &Body) -> Option<&'a design::Mass> {
    shape.design.masses.iter().find(|m| m.name == b.name.trim_end_matches('~'))
}

fn tubes(shape: &Shape, whole: bool) -> impl Iterator<Item = &Tube> {
    shape
        .tubes
        .iter()
        .filter(move |t| t.state != design::TubeState::Temporary && (whole || shape.design.tubes[t.id.0].hard))
}

/// Whether anything is marked as giving way.
pub fn gives_way(shape: &Shape) -> bool {
    shape.skins.list.iter().any(|s| !s.hard)
        || shape.design.tubes.iter().any(|t| !t.hard)
        || shape.design.masses.iter().any(|m| !m.hard && m.size != DVec3::ZERO)
}

/// Everything hard; with `whole` what gives way too. Wheels as they hang when nothing carries them.
pub fn bodies(shape: &Shape, whole: bool) -> Vec<HardBody> {
    collect(shape, whole, &|b| -droop(shape, b))
}

/// Everything hard, with the wheels where they stand: `travel` says how far above their drawn place.
pub fn standing(shape: &Shape, travel: &dyn Fn(&str) -> f64) -> Vec<HardBody> {
    collect(shape, false, &|b| travel(&b.name))
}

/// `up` is how far a wheel stands above its drawn place.
fn collect(shape: &Shape, whole: bool, up: &dyn Fn(&Body) -> f64) -> Vec<HardBody> {
    let mut out: Vec<HardBody> = tubes(shape, whole).map(tube).collect();
    out.extend(shape.plates.iter().map(|p| HardBody {
        name: p.name.clone(),
        shape: HardShape::Points(
            [p.faces.0, p.faces.1].iter().flat_map(|&f| p.corners.iter().map(move |c| p.place(*c, f))).collect(),
        ),
    }));
    out.extend(
        shape
            .skins
            .list
            .iter()
            .filter(|s| whole || s.hard)
            .map(|s| HardBody { name: s.name.clone(), shape: HardShape::Points(s.hull()) }),
    );
    for b in shape.bodies.iter().filter(|b| holds(shape, b, whole)) {
        for (_, part) in &b.parts {
            let shape = match &part.core {
                Core::Segment(a, c) if a == c => HardShape::Ball { centre: *a, radius: part.margin },
                Core::Segment(a, c) => HardShape::Points(vec![*a, *c]),
                Core::Block(centre, half) => HardShape::Block { centre: *centre, half: *half },
                Core::Cylinder(f, half, radius) => HardShape::Wheel {
                    centre: f.origin + DVec3::Z * if b.kind == BodyKind::Wheel { up(b) } else { 0.0 },
                    axle: f.t,
                    radius: *radius,
                    width: 2.0 * half,
                    shoulder: 0.0,
                },
            };
            out.push(HardBody { name: b.name.clone(), shape });
        }
    }
    out
}

/// Mass properties of everything, the wheels where [`bodies`] has them: hanging at droop.
pub fn hung(shape: &Shape, laden: &MassProperties) -> MassProperties {
    let spread =
        |p: DVec3| DMat3::from_diagonal(DVec3::splat(p.length_squared())) - DMat3::from_cols(p * p.x, p * p.y, p * p.z);
    let (mass, mut first) = (laden.mass, laden.centre * laden.mass);
    let mut inertia = laden.inertia + spread(laden.centre) * mass;
    for b in shape.bodies.iter().filter(|b| b.kind == BodyKind::Wheel) {
        let to = b.centre - DVec3::Z * droop(shape, b);
        first += (to - b.centre) * b.mass;
        inertia += (spread(to) - spread(b.centre)) * b.mass;
    }
    let centre = if mass > 0.0 { first / mass } else { laden.centre };
    MassProperties { mass, centre, inertia: inertia - spread(centre) * mass }
}

fn droop(shape: &Shape, b: &Body) -> f64 {
    let name = b.name.trim_end_matches('~');
    match b.kind {
        BodyKind::Wheel => shape.design.wheels.iter().find(|w| w.name == name).map_or(0.0, |w| w.droop),
        _ => 0.0,
    }
}

fn tube(t: &Tube) -> HardBody {
    let shape = match (t.outline, t.chain.segments.first()) {
        (Outline::RoundRect { half_x, half_y, r }, Some(Segment::Leg { length, .. })) => {
            HardShape::BoxBar { start: t.frames[0], length: *length, half: [half_x, half_y], corner: r }
        }
        (outline, _) => HardShape::Bar { chain: t.chain.clone(), radius: outline.reach() },
    };
    HardBody { name: t.name.clone(), shape }
}

/// Sides of the polygons that stand for circles where points are wanted: a tube of 50 mm is then under half a
/// millimetre too thin, a wheel of 700 mm by 6 mm.
const SIDES: usize = 24;

/// Points whose hull is all that is hard, near enough for tumbles.
pub fn points(shape: &Shape) -> Vec<DVec3> {
    let mut out = Vec::new();
    for b in bodies(shape, false) {
        match b.shape {
            HardShape::Points(p) => out.extend(p),
            HardShape::Ball { centre, radius } => {
                out.extend(DVec3::AXES.iter().flat_map(|a| [centre + *a * radius, centre - *a * radius]));
            }
            HardShape::Block { centre, half } => {
                for k in 0..8 {
                    let s = |bit: usize| if k >> bit & 1 == 0 { -1.0 } else { 1.0 };
                    let h = half * DVec3::new(s(0), s(1), s(2));
                    out.push(centre.origin + centre.t * h.x + centre.u * h.y + centre.v * h.z);
                }
            }
            HardShape::Wheel { centre, axle, radius, width, .. } => {
                let (u, v) = axle.any_orthonormal_pair();
                for side in [-0.5, 0.5] {
                    out.extend(circle(radius).map(|q| centre + axle * (side * width) + u * q.x + v * q.y));
                }
            }
            HardShape::BoxBar { start, length, half, .. } => {
                for end in [0.0, length] {
                    for (x, y) in [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
                        out.push(start.origin + start.t * end + start.u * (x * half[0]) + start.v * (y * half[1]));
                    }
                }
            }
            HardShape::Bar { chain, radius } => {
                for s in &chain.segments {
                    let steps = match s {
                        Segment::Leg { .. } => 1,
                        Segment::Arc { sweep, .. } => (sweep.to_degrees() / 15.0).ceil().max(1.0) as usize,
                    };
                    for k in 0..=steps {
                        let at = s.length() * k as f64 / steps as f64;
                        let (u, v) = s.tangent(at).any_orthonormal_pair();
                        out.extend(circle(radius).map(|q| s.point(at) + u * q.x + v * q.y));
                    }
                }
            }
        }
    }
    out
}

fn circle(radius: f64) -> impl Iterator<Item = DVec2> {
    (0..SIDES).map(move |k| DVec2::from_angle(std::f64::consts::TAU * k as f64 / SIDES as f64) * radius)
}
