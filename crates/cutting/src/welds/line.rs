//! The line along which an end is welded: its length, and the angle between the surfaces along it.

use geometry::DVec3;
use geometry::minimise::golden;
use shape::{End, Tube};

use crate::plan::{EndKind, EndPlan};
use crate::profile::{EndRays, Hit, Profile};
use crate::quadrature::{Sample, integral_of};

/// Lengths are summed to this, m: a tenth of a micrometre.
const EXACT: f64 = 1e-7;

/// Samples at most for one sum round a tube, and at least between two fibres: more only where parts flicker in the last digit.
const SAMPLES: u32 = 40_000;
const LEAST: u32 = 40;

/// One place on the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Distance round the tube's outside from the scribe line, m.
    pub round: f64,
    /// Where, m.
    pub at: DVec3,
    /// Unit normal of what it is welded to.
    pub chord: DVec3,
    /// Unit normal of the tube itself.
    pub brace: DVec3,
    /// Angle between the surfaces, rad: 0 to π.
    pub dihedral: f64,
    /// Length of the line over length round the tube.
    pub stretch: f64,
    /// The tube that it is welded to.
    pub host: usize,
}

/// The line of one end.
pub struct Line<'a> {
    rays: &'a EndRays<'a>,
    tube: &'a Tube,
    profile: &'a Profile,
    gap: f64,
    /// A mitre: what is met is the plane between two tubes, and not the other tube's surface.
    mitre: bool,
}

/// Extremes of the angle are placed to this round the tube, m: the angle then errs by its square.
const PLACED: f64 = 1e-6;

/// Fibres that graze their host are as steep as this at most: the last degree of a saddle's corner.
const STEEPEST: f64 = 1e3;

impl<'a> Line<'a> {
    /// The line of an end.
    pub fn new(rays: &'a EndRays<'a>, tube: &'a Tube, profile: &'a Profile, plan: &EndPlan) -> Line<'a> {
        Line { rays, tube, profile, gap: plan.gap, mitre: matches!(plan.kind, EndKind::Plane(..)) }
    }

    /// Root gap, m.
    pub fn gap(&self) -> f64 {
        self.gap
    }

    /// The spot at a distance round, if the outside meets a tube there.
    pub fn spot(&self, round: f64) -> Option<Spot> {
        let station = self.tube.outline.station(round);
        let p = self.tube.outline.point(station);
        let hit: Hit = self.rays.follow(p)?;
        let host = self.rays.host(hit)?;
        let n = self.tube.outline.normal(station);
        // Along the outline, and out of it, in space.
        let place = |d: geometry::DVec2| self.rays.place(d, 0.0) - self.rays.place(geometry::DVec2::ZERO, 0.0);
        let brace = place(n);
        let chord = self.rays.normal(p, hit);
        let slope = self.rays.slope(p, hit, geometry::DVec2::new(-n.y, n.x));
        let slope = if slope.is_finite() { slope.clamp(-STEEPEST, STEEPEST) } else { STEEPEST };
        // The other side of a mitre is this side's mirror image.
        let chord = if self.mitre { brace - chord * (2.0 * brace.dot(chord)) } else { chord };
        let cos = chord.dot(brace).clamp(-1.0, 1.0);
        Some(Spot {
            round,
            at: self.rays.place(p, hit.s),
            chord,
            brace,
            dihedral: std::f64::consts::PI - cos.acos(),
            stretch: slope.hypot(1.0),
            host,
        })
    }

    /// ∫ f dL over the part of the line that meets a tube, by numbers for each spot. f may step where `part` of a spot
    /// changes, and nowhere else: the steps are found.
    pub fn sum(&self, part: impl Fn(&Spot) -> usize, f: impl Fn(&Spot) -> f64) -> f64 {
        let total = self.tube.outline.perimeter();
        let sample = |x: f64| {
            let station = self.tube.outline.station(x);
            let p = self.tube.outline.point(station);
            let face = self.rays.follow(p).map_or(usize::MAX, |h| self.rays.face(p, h) * 16 + station.piece);
            let spot = self.spot(x);
            let value = spot.map_or(0.0, |s| s.stretch * f(&s));
            Sample { value, face: (face, spot.map(|s| part(&s))) }
        };
        let fibres = &self.profile.fibres;
        let (mut sum, mut left) = (0.0, SAMPLES);
        for k in 0..fibres.len() {
            // What others leave goes to those that ask for more, a few times their share.
            let most = (8 * left / (fibres.len() - k) as u32).max(LEAST);
            let a = fibres[k].round;
            let b = fibres.get(k + 1).map_or(total, |n| n.round);
            // A hair inside, so that each side of a piece of the outline is taken as that piece.
            let hair = 1e-9 * (b - a);
            let (part, _, took) = integral_of(&sample, a + hair, b - hair, EXACT * (b - a) / total, most);
            sum += part;
            left = left.saturating_sub(took);
        }
        sum
    }

    /// Places evenly spaced round the tube.
    pub fn spots(&self, count: usize) -> Vec<Spot> {
        let total = self.tube.outline.perimeter();
        (0..count).filter_map(|k| self.spot(total * (k as f64 + 0.5) / count as f64)).collect()
    }

    /// Least and largest angle between the surfaces, rad: from spots evenly spaced, refined about the two that are
    /// least and largest.
    pub fn dihedrals(&self, spots: &[Spot]) -> Option<[f64; 2]> {
        let step = self.tube.outline.perimeter() / spots.len().max(1) as f64;
        let refined = |sign: f64| {
            let best = spots.iter().min_by(|a, b| (sign * a.dihedral).total_cmp(&(sign * b.dihedral)))?;
            let f = |x: f64| self.spot(x).map_or(f64::INFINITY, |s| sign * s.dihedral);
            let found = golden(best.round - step, best.round + step, PLACED, f).1;
            Some(sign * found.min(sign * best.dihedral))
        };
        Some([refined(1.0)?, refined(-1.0)?])
    }

    /// Where round the tube, as an angle from the scribe line, a spot lies, rad.
    pub fn turn(&self, spot: &Spot) -> f64 {
        let p = self.tube.outline.point(self.tube.outline.station(spot.round));
        p.y.atan2(p.x).rem_euclid(std::f64::consts::TAU)
    }

    /// The least angle between the tube's body and a host's where they meet, rad: a host that runs past lies on both
    /// sides, one that ends there on one.
    pub fn axes(&self, end: End, host: &Tube) -> f64 {
        let out = self.tube.outward(end);
        let (station, _) = host.chain.nearest(out.origin);
        let t = host.chain.tangent(station);
        let (whole, reach) = (host.chain.length(), host.outline.reach());
        let along = match (station < reach, station > whole - reach) {
            (true, false) => -out.t.dot(t),
            (false, true) => out.t.dot(t),
            _ => out.t.dot(t).abs(),
        };
        out.t.cross(t).length().atan2(along)
    }
}
