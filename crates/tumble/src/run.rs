//! One tumble.

use glam::{DMat3, DQuat, DVec3};
use rapier3d_f64::prelude::*;

use crate::draw::Start;
use crate::{Body, Refused};

/// Standard gravity, m/s² (ISO 80000-3).
const GRAVITY: f64 = 9.806_65;

/// Length of a step, s; the engine parts each into four. Of 2000 tumbles of a car, half of it moves each attitude's count by
/// less than its scatter.
const STEP: f64 = 1.0 / 200.0;

/// A tumble that lasts longer is given up as still moving, s.
const LONGEST: f64 = 15.0;

/// Slower than this (m/s and rad/s) for [`STILL`] seconds is rest. A body that hangs on an edge a degree off its balance is
/// faster by then.
const SLOW: f64 = 0.05;
/// See [`SLOW`].
const STILL: f64 = 0.5;

/// Length of the slope from where it starts, m.
const SLOPE_LENGTH: f64 = 10.0;

/// How a tumble ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ended {
    /// At rest, with this direction of the body up (a unit in the body's axes, square to the ground).
    AtRest(DVec3),
    /// Still moving when time was up.
    Moving,
}

/// What one tumble came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its end.
    pub ended: Ended,
    /// Least height of each ball of room over the ground, m.
    pub heights: Vec<f64>,
    /// Angle through which it turned about level axes, rad.
    pub turned: f64,
    /// How long it took, s.
    pub time: f64,
}

/// What all tumbles of a body share.
pub struct Prepared {
    shape: SharedShape,
    mass: MassProperties,
    /// The hull's own points.
    points: Vec<DVec3>,
}

/// Checks a body and works out its hull.
pub fn prepare(body: &Body) -> Result<Prepared, Refused> {
    let finite = body.hull.iter().chain([&body.centre, &body.up]).all(|p| p.is_finite());
    if !finite || body.hull.len() < 4 || body.up.length() < 1e-9 {
        return Err(Refused::Hull);
    }
    let moments = body.inertia.is_finite() && body.inertia.determinant() > 0.0;
    if !(body.mass.is_finite() && body.mass > 0.0 && moments) {
        return Err(Refused::Mass);
    }
    // A flat hull "succeeds" in the engine: look at the points' spread first.
    let mean = body.hull.iter().sum::<DVec3>() / body.hull.len() as f64;
    let spread: DMat3 =
        body.hull.iter().map(|p| *p - mean).fold(DMat3::ZERO, |m, d| m + DMat3::from_cols(d * d.x, d * d.y, d * d.z));
    let size = spread.col(0).x + spread.col(1).y + spread.col(2).z;
    if spread.determinant() <= 1e-12 * size.powi(3) {
        return Err(Refused::Hull);
    }
    let shape = SharedShape::convex_hull(&body.hull).ok_or(Refused::Hull)?;
    let points = shape.as_convex_polyhedron().ok_or(Refused::Hull)?.points().to_vec();
    Ok(Prepared { shape, mass: MassProperties::with_inertia_matrix(body.centre, body.mass, body.inertia), points })
}

/// One tumble of a body from a given start.
///
/// # Errors
/// If the body can't tumble.
pub fn one(body: &Body, start: &Start) -> Result<Run, Refused> {
    Ok(one_prepared(&prepare(body)?, body, start))
}

pub(crate) fn one_prepared(p: &Prepared, body: &Body, start: &Start) -> Run {
    // Standing level, heading, then thrown off level.
    let stand = DQuat::from_rotation_arc(body.up.normalize(), DVec3::Z);
    // The body's forward axis lies in the ground once it stands; which way that points is part of the heading.
    let off = DQuat::from_rotation_y(start.pitch) * DQuat::from_rotation_x(start.roll);
    let level = DQuat::from_rotation_z(start.heading);
    let turn = level * off * stand;
    let lowest = p.points.iter().map(|q| (turn * *q).z).fold(f64::INFINITY, f64::min);
    let at = DVec3::Z * (start.drop - lowest);
    let mut world = PhysicsWorld::default();
    world.integration_parameters.dt = STEP;
    let material = |c: ColliderBuilder| c.friction(start.friction).restitution(start.bounce);
    world.insert_collider(material(ColliderBuilder::new(SharedShape::halfspace(DVec3::Z))), None);
    let rigid = RigidBodyBuilder::dynamic()
        .pose(Pose::from_parts(at, turn))
        .linvel(level * start.velocity)
        .angvel(level * start.spin)
        .can_sleep(false)
        .additional_mass_properties(p.mass);
    let (handle, _) = world.insert(rigid, material(ColliderBuilder::new(p.shape.clone())).density(0.0));
    let slope = DVec3::new(start.slope.sin(), 0.0, -start.slope.cos()) * GRAVITY;
    let mut run = Run { ended: Ended::Moving, heights: vec![f64::INFINITY; body.room.len()], turned: 0.0, time: 0.0 };
    let mut still = 0.0;
    while run.time < LONGEST {
        let b = &world.bodies[handle];
        let pose = *b.position();
        for (least, ball) in run.heights.iter_mut().zip(&body.room) {
            *least = least.min((pose.rotation * ball.centre).z + pose.translation.z - ball.radius);
        }
        let (v, w) = (b.linvel(), b.angvel());
        run.turned += w.truncate().length() * STEP;
        still = if v.length() < SLOW && w.length() < SLOW { still + STEP } else { 0.0 };
        if still > STILL {
            run.ended = Ended::AtRest(pose.rotation.inverse() * DVec3::Z);
            break;
        }
        world.gravity = if pose.translation.x < SLOPE_LENGTH { slope } else { DVec3::NEG_Z * GRAVITY };
        world.step();
        run.time += STEP;
    }
    run
}
