//! A seated person: joints, parts, masses.

use std::f64::consts::PI;

use design::{Figure, Occupant};
use geometry::{Convex, DVec3};

use super::arms::{Arm, reach};
use super::segments::{Segment, sum};
use super::survey::{Measures, measures};
use super::{Body, BodyKind, Reach};

/// Shares of stature after Drillis and Contini (1966) as given in Winter, "Biomechanics and Motor Control of Human
/// Movement": from memory. `docs/methods/room.md` says how the survey corrects them.
mod link {
    /// Hip to shoulder.
    pub const TRUNK: f64 = 0.288;
    /// Hip to knee.
    pub const THIGH: f64 = 0.245;
    /// Ankle to sole.
    pub const ANKLE: f64 = 0.039;
    /// Shoulder to elbow.
    pub const UPPER_ARM: f64 = 0.186;
    /// Elbow to wrist, and half the hand: to the middle of the grip.
    pub const TO_GRIP: f64 = 0.146 + 0.108 / 2.0;
}

/// Rounded parts as shares of stature: from memory, checked only where the survey has a measure (see the method page).
mod round {
    pub const KNEE: f64 = 0.031;
    pub const FOOT: f64 = 0.022;
    pub const NECK: f64 = 0.035;
    pub const HAND: f64 = 0.026;
    /// From the middle to a hip joint.
    pub const HIP_JOINT: f64 = 0.05;
    /// Radius of an upper arm as a share of the breadth over both.
    pub const ARM: f64 = 0.11;
    /// Radius of a forearm as a share of an upper arm's.
    pub const FOREARM: f64 = 0.8;
    /// Breadth of the chest as a share of the biacromial breadth.
    pub const CHEST: f64 = 0.7;
}

/// Parts of the body's mass after Winter (from memory): of limbs, one side's.
mod mass {
    pub const HEAD: f64 = 0.081;
    pub const TRUNK: f64 = 0.497;
    pub const UPPER_ARM: f64 = 0.028;
    pub const FOREARM: f64 = 0.016;
    pub const HAND: f64 = 0.006;
    pub const THIGH: f64 = 0.100;
    pub const SHIN: f64 = 0.0465;
    pub const FOOT: f64 = 0.0145;
}

/// Where along a segment, from the trunk's side, its centre of mass lies, after Winter (from memory).
mod centre {
    pub const UPPER_ARM: f64 = 0.436;
    pub const FOREARM: f64 = 0.430;
    pub const LEG: f64 = 0.433;
}

/// Circles of the template: Formula SAE Rules 2026, F.5.6.5, m.
mod template {
    pub const HIP_AND_SHOULDERS: f64 = 0.200;
    pub const HEAD: f64 = 0.300;
    pub const HIP_TO_SHOULDERS: f64 = 0.490;
    pub const SHOULDERS_TO_HEAD: f64 = 0.280;
}

/// One side's leg and arm.
struct Side {
    hip: DVec3,
    knee: DVec3,
    ankle: DVec3,
    heel: DVec3,
    toe: DVec3,
    arm: Arm,
}

/// A person's joints and directions.
struct Pose {
    m: Measures,
    /// Along the torso and square to it, forward.
    up: DVec3,
    forward: DVec3,
    hip: DVec3,
    shoulder: DVec3,
    head: DVec3,
    sides: [Side; 2],
    knee_radius: f64,
    thigh_radius: f64,
    arm_radius: f64,
}

fn pose(o: &Occupant, hip: DVec3, hands: Option<DVec3>) -> Pose {
    let h = o.stature;
    let m = measures(o.sex, h, o.kg);
    let up = DVec3::new(-o.back.sin(), 0.0, o.back.cos());
    let forward = DVec3::new(o.back.cos(), 0.0, o.back.sin());
    let thigh = DVec3::new(o.thigh.cos(), 0.0, o.thigh.sin());
    let over_thigh = DVec3::new(-o.thigh.sin(), 0.0, o.thigh.cos());
    // The shin turns down from the thigh's line by what the knee's angle lacks of straight.
    let fold = o.thigh - (PI - o.knee);
    let shin = DVec3::new(fold.cos(), 0.0, fold.sin());
    let toes = DVec3::new(-shin.z, 0.0, shin.x);
    let (knee_radius, thigh_radius) = (round::KNEE * h, m.thigh_clearance / 2.0);
    let arm_radius = round::ARM * m.bideltoid;
    let shoulder = hip + up * (link::TRUNK * h);
    let crown = hip + up * (m.sitting_height - thigh_radius);
    // The helmet's top stands as far over the crown as its shell and liner are thick.
    let head = crown + up * ((0.5 * (o.helmet - m.head)).max(0.0) - o.helmet / 2.0);
    let shin_length = m.knee_height - (round::KNEE + link::ANKLE) * h;
    let foot_radius = round::FOOT * h;
    let side = |s: f64| {
        let across = |d: f64| DVec3::Y * (s * d);
        let joint = hip + across(round::HIP_JOINT * h);
        let knee = joint + thigh * (link::THIGH * h);
        let ankle = knee + shin * shin_length;
        let sole = ankle + shin * (link::ANKLE * h - foot_radius);
        let from = shoulder + across(m.bideltoid / 2.0 - arm_radius);
        let wanted = match hands {
            Some(p) if s > 0.0 => p,
            Some(p) => DVec3::new(p.x, 2.0 * hip.y - p.y, p.z),
            None => joint.lerp(knee, 0.6) + over_thigh * (thigh_radius + round::HAND * h),
        };
        // Elbows hang down and a little out: common practice, no source.
        let pole = DVec3::NEG_Z + across(0.4);
        Side {
            hip: joint,
            knee,
            ankle,
            heel: sole + toes * (foot_radius - 0.25 * m.foot),
            toe: sole + toes * (0.75 * m.foot - foot_radius),
            arm: reach(from, wanted, link::UPPER_ARM * h, link::TO_GRIP * h, pole),
        }
    };
    let sides = [side(1.0), side(-1.0)];
    Pose { m, up, forward, hip, shoulder, head, sides, knee_radius, thigh_radius, arm_radius }
}

fn parts(o: &Occupant, p: &Pose) -> Vec<(&'static str, Convex)> {
    let h = o.stature;
    let (m, trunk) = (&p.m, link::TRUNK * h);
    let across = |d: f64| DVec3::Y * d;
    let mut out = vec![
        ("helmet", Convex::capsule(p.head, p.head, o.helmet / 2.0)),
        ("neck", Convex::capsule(p.shoulder, p.head, round::NECK * h)),
    ];
    // Chest and abdomen side by side in pairs, so that they are as deep as the survey says and broader than deep.
    let half_breadth = round::CHEST * m.biacromial / 2.0;
    let (chest, abdomen) = (m.chest_depth / 2.0, m.abdomen_depth / 2.0);
    let at = |d: f64, side: f64| p.hip + p.up * d + across(side);
    let waist = 0.45 * trunk;
    // The abdomen's round end does not reach under the seat.
    let low = (abdomen - p.thigh_radius).max(0.0);
    for s in [1.0, -1.0] {
        let side = s * (half_breadth - chest).max(0.0);
        out.push(("trunk", Convex::capsule(at(waist, side), at((trunk - 0.6 * chest).max(waist), side), chest)));
        let side = s * (half_breadth - abdomen).max(0.0);
        out.push(("trunk", Convex::capsule(at(low, side), at(waist.max(low), side), abdomen)));
    }
    let reach = (m.bideltoid / 2.0 - p.arm_radius).max(0.0);
    out.push(("shoulders", Convex::capsule(p.shoulder + across(reach), p.shoulder - across(reach), p.arm_radius)));
    // The hips reach as far back as the buttock–knee length says.
    let behind = m.buttock_knee - link::THIGH * h - p.knee_radius;
    let seat = p.hip - p.forward * (behind - p.thigh_radius).max(0.0);
    let reach = (m.hips / 2.0 - p.thigh_radius).max(0.0);
    out.push(("hips", Convex::capsule(seat + across(reach), seat - across(reach), p.thigh_radius)));
    for side in &p.sides {
        let middle = side.hip.lerp(side.knee, 0.5);
        let lower = 0.5 * (p.thigh_radius + p.knee_radius);
        let short = (lower - p.knee_radius).max(0.0);
        let end = side.knee - (side.knee - side.hip).normalize_or_zero() * short;
        out.push(("thigh", Convex::capsule(side.hip, middle, p.thigh_radius)));
        out.push(("thigh", Convex::capsule(middle, end, lower)));
        out.push(("shin", Convex::capsule(side.knee, side.ankle, p.knee_radius)));
        out.push(("foot", Convex::capsule(side.heel, side.toe, round::FOOT * h)));
        let a = &side.arm;
        out.push(("upper arm", Convex::capsule(a.shoulder, a.elbow, p.arm_radius)));
        out.push(("forearm", Convex::capsule(a.elbow, a.grip, round::FOREARM * p.arm_radius)));
        out.push(("hand", Convex::capsule(a.grip, a.grip, round::HAND * h)));
    }
    out
}

fn segments(o: &Occupant, p: &Pose) -> Vec<Segment> {
    let limb = |share: f64, a: DVec3, b: DVec3, at: f64, radius: f64| Segment {
        mass: share * o.kg,
        centre: a.lerp(b, at),
        along: b - a,
        radius,
    };
    let ball =
        |share: f64, centre: DVec3, radius: f64| Segment { mass: share * o.kg, centre, along: DVec3::ZERO, radius };
    // A cylinder as deep as the chest and as wide as the breast turns like one of their root mean square.
    let (deep, wide) = (p.m.chest_depth / 2.0, round::CHEST * p.m.biacromial / 2.0);
    let trunk = ((deep * deep + wide * wide) / 2.0).sqrt();
    let mut out = vec![ball(mass::HEAD, p.head, p.m.head / 2.0), limb(mass::TRUNK, p.hip, p.shoulder, 0.5, trunk)];
    for side in &p.sides {
        let a = &side.arm;
        let wrist = a.elbow.lerp(a.grip, 0.146 / link::TO_GRIP);
        out.push(limb(mass::UPPER_ARM, a.shoulder, a.elbow, centre::UPPER_ARM, p.arm_radius));
        out.push(limb(mass::FOREARM, a.elbow, wrist, centre::FOREARM, round::FOREARM * p.arm_radius));
        out.push(ball(mass::HAND, a.grip, round::HAND * o.stature));
        out.push(limb(mass::THIGH, side.hip, side.knee, centre::LEG, 0.5 * (p.thigh_radius + p.knee_radius)));
        out.push(limb(mass::SHIN, side.knee, side.ankle, centre::LEG, p.knee_radius));
        out.push(limb(mass::FOOT, side.heel, side.toe, 0.5, round::FOOT * o.stature));
    }
    out
}

fn template_parts(p: &Pose) -> Vec<(&'static str, Convex)> {
    use template::*;
    let shoulders = p.hip + p.up * HIP_TO_SHOULDERS;
    let head = shoulders + p.up * SHOULDERS_TO_HEAD;
    vec![
        ("helmet", Convex::capsule(head, head, HEAD / 2.0)),
        ("trunk", Convex::capsule(p.hip, shoulders, HIP_AND_SHOULDERS / 2.0)),
    ]
}

/// An occupant's body.
pub fn body(o: &Occupant, hip: DVec3, hands: Option<DVec3>) -> Body {
    let pose = pose(o, hip, hands);
    let (mass, centre, inertia) = sum(&segments(o, &pose));
    let (parts, hands) = match o.figure {
        Figure::Person => (parts(o, &pose), hands),
        Figure::Template => (template_parts(&pose), None),
    };
    let reach = hands.map(|wanted| Reach {
        wanted,
        missing: pose.sides[0].arm.missing,
        arm: (link::UPPER_ARM + link::TO_GRIP) * o.stature,
    });
    Body { name: o.name.clone(), kind: BodyKind::Occupant, parts, centre, mass, inertia, head: pose.m.head, reach }
}
