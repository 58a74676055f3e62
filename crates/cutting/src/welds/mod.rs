//! The list of welds: lengths, angles, preparation, filler, tacks, what is in the way and what a torch reaches.
//!
//! Not for live answers. Method and limits: `docs/methods/welds.md`.

pub mod line;
pub mod tacks;
pub mod torch;

use geometry::convex::swept;
use geometry::{Convex, DVec3, Ray};
use rayon::prelude::*;
use shape::{End, Shape};

use crate::profile::EndRays;
use crate::{Cutting, EndKind, EndPlan};
use line::{Line, Spot};
use torch::{Standing, Torch};

/// What the shop welds with. SI. Sources: `docs/methods/welds.md`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Throat over wall.
    pub throat: f64,
    /// Below this angle between the surfaces a fillet's root is not reached, rad.
    pub fillet_from: f64,
    /// Above it the edge is bevelled, rad.
    pub fillet_to: f64,
    /// Below it no fillet detail holds, rad.
    pub least: f64,
    /// Loss at the root from 45 degrees up to `fillet_from`, and from `least` to 45 degrees, m.
    pub loss: [f64; 2],
    /// Bevel of a groove, rad.
    pub bevel: f64,
    /// kg/m³ of the filler.
    pub density: f64,
    /// Part of the wire that ends up in the weld.
    pub efficiency: f64,
    /// Deposited while the arc burns, kg/s.
    pub rate: f64,
    /// Gas while the arc burns, m³/s.
    pub gas: f64,
    /// The torch.
    pub torch: Torch,
}

impl Default for Settings {
    fn default() -> Settings {
        let deg = f64::to_radians;
        Settings {
            throat: 1.1,
            fillet_from: deg(60.0),
            fillet_to: deg(120.0),
            least: deg(30.0),
            loss: [0.0, 0.003],
            bevel: deg(45.0),
            density: 7850.0,
            efficiency: 0.95,
            rate: 1.0 / 3600.0,
            gas: 12e-3 / 60.0,
            torch: Torch::default(),
        }
    }
}

/// From this angle on less is lost at the root of a heel, rad.
const LESS_LOST: f64 = std::f64::consts::FRAC_PI_4;

/// How the edge is made ready, by the angle between the surfaces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Detail {
    /// Bevelled, filled as a groove.
    Groove,
    /// Fillet.
    Fillet,
    /// Fillet in a heel, with a loss at its root.
    Heel,
    /// Sharper than any fillet detail covers.
    Sharp,
}

impl Settings {
    /// The detail at an angle between the surfaces, rad.
    pub fn detail(&self, dihedral: f64) -> Detail {
        // Angles on a limit belong to the fillet, whatever the last digit.
        const HAIR: f64 = 1e-9;
        match dihedral {
            a if a > self.fillet_to + HAIR => Detail::Groove,
            a if a >= self.fillet_from - HAIR => Detail::Fillet,
            a if a >= self.least - HAIR => Detail::Heel,
            _ => Detail::Sharp,
        }
    }

    /// Which of the ranges an angle is in within which throat and area do not step.
    fn part(&self, dihedral: f64) -> usize {
        2 * self.detail(dihedral) as usize + usize::from(dihedral >= LESS_LOST)
    }

    /// Throat at an angle, with what is lost at the root, m.
    fn throat_at(&self, wall: f64, dihedral: f64) -> f64 {
        let loss = match self.detail(dihedral) {
            Detail::Heel if dihedral >= LESS_LOST => self.loss[0],
            Detail::Heel | Detail::Sharp => self.loss[1],
            _ => 0.0,
        };
        self.throat * wall + loss
    }

    /// Leg of a fillet, m: a / cos(ψ/2). Of a groove: what a fillet at its limit would have.
    pub fn leg(&self, wall: f64, dihedral: f64) -> f64 {
        self.throat_at(wall, dihedral) / (dihedral.min(self.fillet_to) / 2.0).cos()
    }

    /// Area of the weld's cross-section, m².
    pub fn area(&self, wall: f64, dihedral: f64, gap: f64) -> f64 {
        let a = self.throat_at(wall, dihedral);
        match self.detail(dihedral) {
            Detail::Groove => 0.5 * a * a * self.bevel.tan() + a * gap,
            _ => a * a * (dihedral / 2.0).tan(),
        }
    }
}

/// A place where a later tube lies on a bead.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Flush {
    /// The later tube.
    pub by: String,
    /// Part of the line that it covers.
    pub share: f64,
    /// Middle of what it covers, m.
    pub at: DVec3,
}

/// The weld of one end.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Weld {
    /// Name of the piece.
    pub piece: String,
    /// Which end.
    pub end: End,
    /// What it is welded to.
    pub to: Vec<String>,
    /// Wall that sets the throat: the tube's own, m.
    pub wall: f64,
    /// Length of the line, m.
    pub length: f64,
    /// By the handbook's simple form, m: for a round tube on one other; else `None`.
    pub simple: Option<f64>,
    /// Least angle between its axis and those of what it is welded to, rad.
    pub angle: f64,
    /// Least and largest angle between the surfaces, rad.
    pub dihedral: [f64; 2],
    /// Length by detail, m: groove, fillet, heel, sharp.
    pub zones: [f64; 4],
    /// Throat without loss, m.
    pub throat: f64,
    /// Least and largest leg at the places looked at along the line, m.
    pub leg: [f64; 2],
    /// Volume of the weld, m³.
    pub volume: f64,
    /// Filler to buy, kg.
    pub filler: f64,
    /// Arc time, s.
    pub time: f64,
    /// Gas, m³ at the flow's own conditions.
    pub gas: f64,
    /// Turns round the tube of its tacks, in order, rad from the scribe line.
    pub tacks: Vec<f64>,
    /// Part of the line that a torch reaches when the piece is fitted.
    pub reached_at_fitting: f64,
    /// Part of it when all is tacked.
    pub reached_at_last: f64,
    /// Tubes that are in the way then where nothing is reached, the one that hides the most first.
    pub hidden_by: Vec<String>,
    /// Later tubes that lie on its bead.
    pub flush: Vec<Flush>,
    /// The axes meet at less than the least angle.
    pub sharp: bool,
}

/// Least angle between members: 30 degrees, EN 1993-1-8 7.1.2, from memory.
pub const LEAST_ANGLE: f64 = std::f64::consts::PI / 6.0;

/// Places along a line at which the torch is tried.
const TRIED: usize = 24;

/// Places along a line that are held against later tubes.
const HELD: usize = 72;

/// The weld of every end that meets another tube, in fitting order. Temporary tubes are tacked and cut out again: they
/// are not listed.
pub fn welds(shape: &Shape, cutting: &Cutting, settings: &Settings) -> Vec<Weld> {
    let plans = crate::plan::plan(shape);
    let solids = crate::solids::all(shape, &plans);
    let parts: Vec<Vec<(Convex, DVec3, DVec3)>> = shape
        .tubes
        .iter()
        .map(|t| {
            let boxed = |c: Convex| {
                let (lo, hi) = c.bounds();
                (c, lo, hi)
            };
            swept(&t.chain, &t.frames, &t.outline).into_iter().map(boxed).collect()
        })
        .collect();
    let one = |p: &crate::Piece, end: End| {
        let (tube, plan) = (&shape.tubes[p.tube], &plans[p.tube][end as usize]);
        if matches!(plan.kind, EndKind::Square(_) | EndKind::Plane(_, None)) {
            return None;
        }
        // A mitre is one weld: it is listed with the tube that is fitted later.
        if let EndKind::Plane(_, Some(o)) = plan.kind {
            let back = plans[o].iter().any(|e| matches!(e.kind, EndKind::Plane(_, Some(k)) if k == p.tube));
            if back && p.tube < o {
                return None;
            }
        }
        let rays = EndRays::new(shape, tube, end, plan, &solids);
        let profile = &p.end(end).profile;
        let line = Line::new(&rays, tube, profile, plan);
        let spots = line.spots(HELD);
        let job = Job { shape, cutting, settings, parts: &parts, plans: &plans, solids: &solids, tube: p.tube };
        job.weld(&line, &spots, p, end)
    };
    cutting
        .pieces
        .par_iter()
        .filter(|p| p.state != design::TubeState::Temporary)
        .flat_map_iter(|p| End::BOTH.into_iter().filter_map(|end| one(p, end)).collect::<Vec<_>>())
        .collect()
}

struct Job<'a> {
    shape: &'a Shape,
    cutting: &'a Cutting,
    settings: &'a Settings,
    parts: &'a [Vec<(Convex, DVec3, DVec3)>],
    plans: &'a [[EndPlan; 2]],
    solids: &'a [Vec<geometry::Solid>],
    tube: usize,
}

impl Job<'_> {
    fn weld(&self, line: &Line, spots: &[Spot], p: &crate::Piece, end: End) -> Option<Weld> {
        let (s, tube) = (self.settings, &self.shape.tubes[self.tube]);
        let mut hosts: Vec<usize> = spots.iter().map(|s| s.host).collect();
        hosts.sort_unstable();
        hosts.dedup();
        if hosts.is_empty() {
            return None;
        }
        let wall = tube.wall;
        let part = |spot: &Spot| s.part(spot.dihedral);
        let zones = [Detail::Groove, Detail::Fillet, Detail::Heel, Detail::Sharp]
            .map(|d| line.sum(part, |spot| (s.detail(spot.dihedral) == d) as u8 as f64));
        let length = line.sum(|_| 0, |_| 1.0);
        // Summed in units of the wall's square, so that it is as fine as a length is.
        let volume = wall * wall * line.sum(part, |spot| s.area(wall, spot.dihedral, line.gap()) / (wall * wall));
        let range = |f: &dyn Fn(&Spot) -> f64| {
            spots.iter().map(f).fold([f64::INFINITY, f64::NEG_INFINITY], |r, x| [r[0].min(x), r[1].max(x)])
        };
        let angle = hosts.iter().map(|&h| line.axes(end, &self.shape.tubes[h])).fold(f64::INFINITY, f64::min);
        let round = matches!(tube.outline, geometry::Outline::Circle { .. });
        let coped = p.end(end).kind == "cope";
        let simple = (round && coped && hosts.len() == 1 && angle > geometry::PARALLEL)
            .then(|| tube.outline.perimeter() * (1.0 + 1.0 / angle.sin()) / 2.0);
        let deposited = volume * s.density;
        let time = deposited / s.rate;
        let (reached_at_fitting, _) = self.reach(line, |k| k <= self.tube);
        let (reached_at_last, hidden_by) = self.reach(line, |_| true);
        Some(Weld {
            piece: p.name.clone(),
            end,
            to: hosts.iter().map(|&h| self.shape.tubes[h].name.clone()).collect(),
            wall,
            length,
            simple,
            angle,
            dihedral: line.dihedrals(spots)?,
            zones,
            throat: s.throat * wall,
            leg: range(&|spot| s.leg(wall, spot.dihedral)),
            volume,
            filler: deposited / s.efficiency,
            time,
            gas: s.gas * time,
            tacks: tacks::round(line, spots),
            reached_at_fitting,
            reached_at_last,
            hidden_by,
            flush: self.flush(spots, &hosts),
            sharp: shape::finding::less(angle, LEAST_ANGLE),
        })
    }

    /// The part of the line that is reached among tubes that are told to stand, and who hides the rest.
    fn reach(&self, line: &Line, stands: impl Fn(usize) -> bool) -> (f64, Vec<String>) {
        let spots = line.spots(TRIED);
        let whole: f64 = spots.iter().map(|s| s.stretch).sum();
        let here: Vec<usize> = self.cutting.pieces.iter().map(|p| p.tube).collect();
        let torch = &self.settings.torch;
        let far = torch.body_to + torch.body;
        let mut seen = 0.0;
        let mut hides: Vec<(usize, usize)> = Vec::new();
        for spot in &spots {
            let near = |k: usize| {
                self.parts[k].iter().filter(move |p| (spot.at - far).cmple(p.2).all() && p.1.cmple(spot.at + far).all())
            };
            let standing: Vec<usize> =
                here.iter().copied().filter(|&k| (stands(k) || k == spot.host) && near(k).next().is_some()).collect();
            let among = |without: Option<usize>| Standing {
                parts: standing.iter().filter(|&&k| Some(k) != without).flat_map(|&k| near(k)).collect(),
            };
            if torch.reaches(spot, &among(None)) {
                seen += spot.stretch;
                continue;
            }
            for &k in &standing {
                if torch.reaches(spot, &among(Some(k))) {
                    match hides.iter_mut().find(|h| h.0 == k) {
                        Some(h) => h.1 += 1,
                        None => hides.push((k, 1)),
                    }
                }
            }
        }
        hides.sort_by_key(|h| (std::cmp::Reverse(h.1), h.0));
        let share = if whole > 0.0 { seen / whole } else { 0.0 };
        (share, hides.into_iter().map(|h| self.shape.tubes[h.0].name.clone()).collect())
    }

    /// Later tubes that cover some of the bead.
    fn flush(&self, spots: &[Spot], hosts: &[usize]) -> Vec<Flush> {
        let whole: f64 = spots.iter().map(|s| s.stretch).sum();
        let wall = self.shape.tubes[self.tube].wall;
        let later = self.cutting.pieces.iter().map(|p| p.tube).filter(|k| *k > self.tube && !hosts.contains(k));
        later
            .filter_map(|k| {
                let mut share = 0.0;
                let mut middle = DVec3::ZERO;
                for spot in spots {
                    let leg = self.settings.leg(wall, spot.dihedral);
                    let near = self.parts[k]
                        .iter()
                        .any(|p| (spot.at - leg).cmple(p.2).all() && p.1.cmple(spot.at + leg).all());
                    let within = || self.solids[k].iter().any(|s| holds(&s.grown(leg), spot.at));
                    if near && within() && !self.past_its_end(k, spot.at, leg) {
                        share += spot.stretch;
                        middle += spot.at * spot.stretch;
                    }
                }
                (share > 0.0 && whole > 0.0).then(|| Flush {
                    by: self.shape.tubes[k].name.clone(),
                    share: share / whole,
                    at: middle / share,
                })
            })
            .collect()
    }
}

impl Job<'_> {
    /// Whether a place lies past an end of a tube, by more than a bead's leg: solids run on to a host's mid-plane, and
    /// through the other tubes that the end is cut to.
    fn past_its_end(&self, k: usize, at: DVec3, leg: f64) -> bool {
        let tube = &self.shape.tubes[k];
        let (station, _) = tube.chain.nearest(at);
        let (from_start, from_end) = (station, tube.chain.length() - station);
        let end = if from_start < from_end { End::Start } else { End::End };
        if from_start.min(from_end) >= tube.end_leg(end) {
            return false;
        }
        let rays = EndRays::new(self.shape, tube, end, &self.plans[k][end as usize], self.solids);
        rays.beyond(at).is_some_and(|past| past > leg)
    }
}

/// Whether a solid holds a point.
fn holds(solid: &geometry::Solid, p: DVec3) -> bool {
    // Any direction serves; this one runs along no axis that designs are drawn on.
    let along = DVec3::new(0.48, 0.64, 0.6);
    solid.intervals(&Ray { from: p, along }).as_slice().iter().any(|i| i.0 <= 0.0 && i.1 >= 0.0)
}
