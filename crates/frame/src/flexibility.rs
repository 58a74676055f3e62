//! What a beam gives at its end, held at its start: exact for thin straight and curved bars.

use geometry::{DMat3, DVec3, Frame, Segment};

use crate::model::{Beam, Piece, Section};
use crate::six::{Mat6, Six, cross, six};

/// Gauss points on a leg: two integrate the square of a moment that varies linearly exactly, three its load's part too.
const ON_LEG: &[(f64, f64)] =
    &[(-0.774_596_669_241_483_4, 5.0 / 9.0), (0.0, 8.0 / 9.0), (0.774_596_669_241_483_4, 5.0 / 9.0)];

/// Gauss points on each part of an arc of at most [`ARC_PART`].
const ON_ARC: &[(f64, f64)] = &[
    (-0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
    (-0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (-0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (-0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

/// Longest part of an arc that eight points are trusted with, rad. What is integrated has no faster wave than the angle
/// four times; over half a part, ω = 1.6, Gauss's error is ω¹⁶ 2¹⁷ 8!⁴ / (17 · 16!³), 4e-15 of the whole.
const ARC_PART: f64 = 0.8;

/// Gives to forces and to moments, for each metre, in the frame's axes.
pub(crate) fn gives(f: &Frame, s: &Section) -> (DMat3, DMat3) {
    let q = f.rotation();
    let stretch = DVec3::new(
        (s.youngs * s.area).recip(),
        (s.shear * s.shear_areas[0]).recip(),
        (s.shear * s.shear_areas[1]).recip(),
    );
    let bend =
        DVec3::new((s.shear * s.torsion).recip(), (s.youngs * s.second[0]).recip(), (s.youngs * s.second[1]).recip());
    let turn = |d: DVec3| q * DMat3::from_diagonal(d) * q.transpose();
    (turn(stretch), turn(bend))
}

/// Calls `at(frame, weight, length still ahead on this piece)` at the Gauss points of a piece.
pub(crate) fn points(p: &Piece, at: impl FnMut(Frame, f64, f64)) {
    points_of(p, ON_LEG, at);
}

/// As [`points`], with the rule to use on a leg.
pub(crate) fn points_of(p: &Piece, on_leg: &[(f64, f64)], mut at: impl FnMut(Frame, f64, f64)) {
    let length = p.segment.length();
    let (parts, rule) = match p.segment {
        Segment::Leg { .. } => (1, on_leg),
        Segment::Arc { sweep, .. } => ((sweep / ARC_PART).ceil().max(1.0) as usize, ON_ARC),
    };
    let part = length / parts as f64;
    for k in 0..parts {
        for &(x, w) in rule {
            let s = part * (k as f64 + 0.5 * (1.0 + x));
            at(p.at(s), 0.5 * w * part, length - s);
        }
    }
}

/// ∫ (x − from) ds over the last `ahead` of a piece, from the place where it begins.
fn first_moment(p: &Piece, ahead: f64) -> DVec3 {
    match p.segment {
        Segment::Leg { along, .. } => along * (0.5 * ahead * ahead),
        Segment::Arc { centre, axis, start, radius, sweep } => {
            let side = axis.cross(start);
            let a = sweep - ahead / radius;
            let whole = start * (sweep.sin() - a.sin()) - side * (sweep.cos() - a.cos());
            let from = centre + (start * a.cos() + side * a.sin()) * radius;
            whole * (radius * radius) + (centre - from) * ahead
        }
    }
}

/// What lies ahead of a place on a beam: length, and ∫ (x − place) ds, m and m².
fn ahead(beam: &Beam, piece: usize, place: DVec3, on_piece: f64) -> (f64, DVec3) {
    let mut length = on_piece;
    let mut moment = first_moment(&beam.pieces[piece], on_piece);
    for q in &beam.pieces[piece + 1..] {
        let l = q.segment.length();
        moment += first_moment(q, l) + (q.segment.point(0.0) - place) * l;
        length += l;
    }
    (length, moment)
}

/// How a beam's end moves relative to its start, for each force and moment on it: six by six.
pub(crate) fn flexibility(beam: &Beam, section: &Section) -> Mat6 {
    let end = beam.end();
    let mut a = DMat3::ZERO;
    let mut b = DMat3::ZERO;
    let mut d = DMat3::ZERO;
    for p in &beam.pieces {
        if let Segment::Leg { along, length, .. } = p.segment {
            // From its middle, at r from the end, to a place x further on, the arm is r - x t: of its square ∫ x² is left.
            let (stretch, bend) = gives(&p.frame, section);
            let (s, t) = (cross(end - p.segment.point(0.5 * length)), cross(along));
            let (bs, bt) = (bend * s, bend * t);
            a += (stretch + s.transpose() * bs + t.transpose() * bt * (length * length / 12.0)) * length;
            b += bs * length;
            d += bend * length;
            continue;
        }
        points(p, |f, w, _| {
            let (stretch, bend) = gives(&f, section);
            let s = cross(end - f.origin);
            let bs = bend * s;
            a += (stretch + s.transpose() * bs) * w;
            b += bs * w;
            d += bend * w;
        });
    }
    Mat6::blocks(a, b.transpose(), b, d)
}

/// How a beam's end moves relative to its held start under even loads, free of other load.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Droops {
    /// Displacement for a load per metre, m for N/m.
    way: DMat3,
    /// Rotation for a load per metre.
    turn: DMat3,
}

impl Droops {
    /// Of a beam.
    pub(crate) fn of(beam: &Beam, section: &Section) -> Droops {
        let end = beam.end();
        let (mut way, mut turn) = (DMat3::ZERO, DMat3::ZERO);
        for (i, p) in beam.pieces.iter().enumerate() {
            // Along a leg sections lie alike.
            let leg = matches!(p.segment, Segment::Leg { .. }).then(|| gives(&p.frame, section));
            points(p, |f, w, on_piece| {
                let (length, moment) = ahead(beam, i, f.origin, on_piece);
                let (stretch, bend) = leg.unwrap_or_else(|| gives(&f, section));
                let k = bend * cross(moment);
                way += (stretch * length - cross(end - f.origin) * k) * w;
                turn += k * w;
            });
        }
        Droops { way, turn }
    }

    /// Under `q` N/m.
    pub(crate) fn under(&self, q: DVec3) -> Six {
        six(self.way * q, self.turn * q)
    }
}

/// As [`Droops::under`], for one load.
pub(crate) fn droop(beam: &Beam, section: &Section, q: DVec3) -> Six {
    Droops::of(beam, section).under(q)
}

/// The whole of an even load of `q` N/m on a beam, as force and moment about a place.
pub(crate) fn resultant(beam: &Beam, q: DVec3, about: DVec3) -> Six {
    let start = beam.start();
    let (length, moment) = ahead(beam, 0, start, beam.pieces[0].segment.length());
    six(q * length, (moment + (start - about) * length).cross(q))
}

/// What a section passes on: the force and moment that what lies beyond exerts on what lies before, in the frame's axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passed {
    /// Place and directions of the section.
    pub frame: Frame,
    /// Force, N.
    pub force: DVec3,
    /// Moment, N m.
    pub moment: DVec3,
}

impl Passed {
    /// Tension, N.
    pub fn tension(&self) -> f64 {
        self.force.dot(self.frame.t)
    }

    /// Shear along u and v, N.
    pub fn shear(&self) -> [f64; 2] {
        [self.force.dot(self.frame.u), self.force.dot(self.frame.v)]
    }

    /// Torque, N m.
    pub fn torque(&self) -> f64 {
        self.moment.dot(self.frame.t)
    }

    /// Bending moments about u and v, N m.
    pub fn bending(&self) -> [f64; 2] {
        [self.moment.dot(self.frame.u), self.moment.dot(self.frame.v)]
    }
}

/// A section of a beam, and what lies beyond it.
#[derive(Clone, Copy, Debug)]
pub struct Cut {
    /// Its place and directions.
    pub frame: Frame,
    /// From there to the beam's end.
    arm: DVec3,
    /// Length beyond it, m, and ∫ (x - place) ds, m².
    beyond: (f64, DVec3),
}

impl Cut {
    /// At a distance along one of a beam's pieces.
    pub(crate) fn new(beam: &Beam, piece: usize, s: f64) -> Cut {
        let p = &beam.pieces[piece];
        let frame = p.at(s);
        let beyond = ahead(beam, piece, frame.origin, p.segment.length() - s);
        Cut { frame, arm: beam.end() - frame.origin, beyond }
    }

    /// What it passes on, given what acts on the beam's end and along it.
    pub fn passed(&self, end_force: &Six, q: DVec3) -> Passed {
        let (force, moment) = (crate::six::first(end_force), crate::six::last(end_force));
        let (length, ahead) = self.beyond;
        Passed { frame: self.frame, force: force + q * length, moment: moment + self.arm.cross(force) + ahead.cross(q) }
    }
}
