//! The simplest way to cut each end so that it fits: what each way would leave, and which ends share a setting.
//!
//! Not for live answers: see [`crate::cut`] for these. Method and limits: `docs/methods/ends.md`.

pub mod batches;
pub mod minimax;
pub mod planes;
pub mod target;

use geometry::{Frame, HalfSpace, Outline, Prism, Ray, Solid};
use rayon::prelude::*;
use shape::{End, Shape, Tube};

use crate::plan::{EndKind, EndPlan, crossing, mid_plane};
use crate::profile::EndRays;
use crate::rounding::Rounded;
use crate::setup::{self, SetUp, fits};
use crate::{Cutting, Detail};
use minimax::Sheet;
use target::{Fibre, Left, Target};

/// A way to cut an end, by rising effort (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Process {
    /// One saw cut square to the tube.
    Square,
    /// One saw cut at an angle.
    Mitre,
    /// Two saw cuts; the tube keeps what lies within both.
    TwoCuts,
    /// A hole saw, once.
    HoleSaw,
    /// Several set-ups, one for each tube that is met.
    Passes,
    /// Marked with the template and ground.
    Template,
}

impl Process {
    /// As a person says it.
    pub fn word(self) -> &'static str {
        match self {
            Process::Square => "square saw cut",
            Process::Mitre => "one mitre",
            Process::TwoCuts => "two straight cuts",
            Process::HoleSaw => "hole saw",
            Process::Passes => "several passes",
            Process::Template => "template and grinder",
        }
    }
}

/// One set-up of a way, and where it is made.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Cut {
    /// The tool's setting. Its own `gap` is that of this set-up alone.
    pub setup: SetUp,
    /// Where a saw cut, or a hole saw's axis, passes the tube's axis, m beyond the end point.
    pub at: f64,
}

/// What one way would leave.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Candidate {
    /// The way.
    pub process: Process,
    /// Its set-ups in order. None for a template.
    pub cuts: Vec<Cut>,
    /// Largest gap anywhere in the wall, square to the host's surface and over the root gap, m.
    pub gap: f64,
    /// Largest gap at the wall's outer edge, m.
    pub outside: f64,
    /// With settings as rounded on the sheet, m; the same as `gap` for other tools than a saw.
    pub as_set: f64,
    /// No cut of this way leaves less, m; 0 where that is not known.
    pub bound: f64,
    /// What may be missed between fibres, m.
    pub between: f64,
    /// Whether it is within `limits.fit`, and can be made with what the design says is at hand.
    pub fits: bool,
    /// Why it can't be made, or what to mind.
    pub note: Option<&'static str>,
}

/// The ways to cut one end.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct EndProcess {
    /// Name of the piece.
    pub piece: String,
    /// Index of the tube in the shape.
    #[serde(skip)]
    pub tube: usize,
    /// Which end.
    pub end: End,
    /// Every way looked at, by rising effort. Two cuts are not where one will do.
    pub candidates: Vec<Candidate>,
    /// Index of the simplest that fits; of the template if none does; `None` if the end meets nothing.
    pub chosen: Option<usize>,
}

impl EndProcess {
    /// The way to take.
    pub fn simplest(&self) -> Option<&Candidate> {
        self.chosen.map(|k| &self.candidates[k])
    }

    /// What a way would leave.
    pub fn of(&self, process: Process) -> Option<&Candidate> {
        self.candidates.iter().find(|c| c.process == process)
    }
}

/// Saws turn this far from square at most: common practice, no source.
const FARTHEST: f64 = std::f64::consts::FRAC_PI_3 + 1e-9;

/// Gaps are held against `limits.fit` with this to spare: a hundredth of a micrometre of noise.
const NOISE: f64 = 1e-8;

/// Every end of every piece.
pub fn processes(shape: &Shape, cutting: &Cutting, detail: Detail) -> Vec<EndProcess> {
    let plans = crate::plan::plan(shape);
    let solids = crate::solids::all(shape, &plans);
    cutting
        .pieces
        .par_iter()
        .flat_map_iter(|p| End::BOTH.map(|end| (p, end)))
        .map(|(p, end)| {
            let tube = &shape.tubes[p.tube];
            // Gaps are measured on the host itself: what is held off on purpose comes on top.
            let gap = plans[p.tube][end as usize].gap;
            let plan = &EndPlan { gap: 0.0, ..plans[p.tube][end as usize].clone() };
            let rays = EndRays::new(shape, tube, end, plan, &solids);
            let job = Job { shape, tube, end, plan, gap, rays: &rays };
            let (candidates, chosen) = job.candidates(&p.end(end).setups, detail);
            EndProcess { piece: p.name.clone(), tube: p.tube, end, candidates, chosen }
        })
        .collect()
}

struct Job<'a> {
    shape: &'a Shape,
    tube: &'a Tube,
    end: End,
    /// As if there were no root gap.
    plan: &'a EndPlan,
    /// The root gap, m.
    gap: f64,
    rays: &'a EndRays<'a>,
}

impl Job<'_> {
    fn candidates(&self, setups: &[SetUp], detail: Detail) -> (Vec<Candidate>, Option<usize>) {
        let frame = setup::forward(self.tube, self.end);
        let target = Target::new(self.rays, self.tube, frame, detail);
        let fine = target.finer(detail);
        let fit = self.shape.design.limits.fit + NOISE;
        let mut list: Vec<Candidate> = [self.square(&fine), self.mitre(&target, &fine)].into_iter().flatten().collect();
        let within = |c: &Candidate| c.note.is_none() && c.gap.max(c.as_set) <= fit;
        // Nobody makes two cuts where one will do, and they take the longest to find.
        if !list.iter().any(within) {
            list.extend(self.two_cuts(&target, &fine));
        }
        list.extend(self.passes(setups, &fine));
        list.extend(self.template(&target));
        // Held off by the root gap where the host stands squarest to the tube; a mitre's two sides share it.
        let steepest = target.fibres.iter().map(|f| f.w).fold(0.0, f64::max);
        let part = if matches!(self.plan.kind, EndKind::Plane(..)) { 0.5 } else { 1.0 };
        let back = if steepest > 0.0 && target.fibres.iter().any(|f| f.host.is_some()) {
            part * self.gap / steepest
        } else {
            0.0
        };
        for c in &mut list {
            for cut in &mut c.cuts {
                cut.at -= back;
                if let SetUp::HoleSaw { centre, .. } = &mut cut.setup {
                    *centre -= back;
                }
            }
            c.fits = within(c);
        }
        let chosen =
            list.iter().position(|c| c.fits).or_else(|| list.iter().position(|c| c.process == Process::Template));
        (list, chosen)
    }

    fn straight(&self, sheet: &Sheet) -> Cut {
        let f = setup::forward(self.tube, self.end);
        let out = self.tube.outward(self.end).t;
        let normal = (out - f.u * sheet.b - f.v * sheet.c).normalize_or(out);
        Cut { setup: setup::saw(self.shape, self.tube, self.end, normal, None, 0.0), at: sheet.a }
    }

    /// The sheet as the saw is set by rounded numbers.
    fn rounded(&self, cut: &Cut, sheet: &Sheet) -> Sheet {
        let step = self.shape.design.limits.round_angle;
        match cut.setup {
            SetUp::Saw { angle, turn, .. } if step > 0.0 => {
                let (angle, turn) = (Rounded::to(angle, step).shown, Rounded::to(turn, step).shown);
                let rise = angle.tan();
                Sheet { a: sheet.a, b: -rise * turn.cos(), c: -rise * turn.sin() }
            }
            _ => *sheet,
        }
    }

    fn saws(&self, process: Process, sheets: &[Sheet], left: Left, bound: f64, fine: &Target) -> Candidate {
        let cuts: Vec<Cut> = sheets.iter().map(|s| self.straight(s)).collect();
        let set: Vec<Sheet> = cuts.iter().zip(sheets).map(|(c, s)| self.rounded(c, s)).collect();
        let low = |f: &Fibre| set.iter().map(|s| s.at(f.p.x, f.p.y)).fold(f64::INFINITY, f64::min);
        let steep = cuts.iter().any(|c| matches!(c.setup, SetUp::Saw { angle, .. } if angle > FARTHEST));
        Candidate {
            process,
            cuts,
            gap: left.gap,
            outside: left.outside,
            as_set: fine.left(low).map_or(left.gap, |l| l.gap),
            bound,
            between: left.between,
            fits: false,
            note: steep.then_some("over 60 degrees from square: saws do not turn that far"),
        }
    }

    fn square(&self, fine: &Target) -> Option<Candidate> {
        let left = fine.left(|_| 0.0)?;
        let sheet = Sheet { a: left.shift, b: 0.0, c: 0.0 };
        Some(self.saws(Process::Square, &[sheet], left, left.gap, fine))
    }

    fn mitre(&self, target: &Target, fine: &Target) -> Option<Candidate> {
        let one = planes::one(target, fine)?;
        Some(self.saws(Process::Mitre, &[one.sheet], one.left, one.bound, fine))
    }

    fn two_cuts(&self, target: &Target, fine: &Target) -> Option<Candidate> {
        let remake = |d: Detail| planes::search(&Target::new(self.rays, self.tube, target.frame, d));
        let (sheets, left) = planes::two(target, fine, remake)?;
        Some(self.saws(Process::TwoCuts, &sheets, left, 0.0, fine))
    }

    /// The set-ups that there are already, each where it stands: a hole saw for a round host, a flat cut for a face.
    fn passes(&self, setups: &[SetUp], fine: &Target) -> Option<Candidate> {
        let EndKind::Cope(hosts) = &self.plan.kind else { return None };
        if !setups.iter().any(|s| matches!(s, SetUp::HoleSaw { .. })) {
            return None;
        }
        let out = self.tube.outward(self.end);
        let mut solids = vec![Solid::Half(mid_plane(self.tube, self.end, &self.shape.tubes[hosts[0]]))];
        let mut cuts = Vec::new();
        let mut note = None;
        for s in setups {
            match s {
                SetUp::HoleSaw { against, diameter, saw, centre, depth, .. } => {
                    let host = hosts.iter().map(|&h| &self.shape.tubes[h]).find(|t| t.name == *against)?;
                    let (crossed, at, axis) = crossing(self.tube, self.end, host);
                    let r = saw.map_or(diameter - 2.0 * self.gap, |s| s.od) / 2.0;
                    let at = at + out.t * (centre - crossed);
                    let frame = Frame::new(at, axis, geometry::frame::any_across(axis))?;
                    solids.push(Solid::Prism(Prism { frame, outline: Outline::Circle { r }, clips: Vec::new() }));
                    if let Some(saw) = saw {
                        if !fits(saw.od, diameter - 2.0 * self.gap, self.shape.design.limits.fit) {
                            note = Some("no saw at hand is of this size");
                        } else if saw.depth < *depth {
                            note = note.or(Some("the saw at hand is too shallow: the slug must come out on the way"));
                        }
                    }
                    cuts.push(Cut { setup: s.clone(), at: *centre });
                }
                SetUp::Saw { angle, turn, against, .. } => {
                    let host = hosts.iter().copied().find(|&h| Some(&self.shape.tubes[h].name) == against.as_ref())?;
                    let rise = angle.tan();
                    let flat = Sheet { a: 0.0, b: -rise * turn.cos(), c: -rise * turn.sin() };
                    let lack = |f: &Fibre| f.t - flat.at(f.p.x, f.p.y);
                    let a = fine.fibres.iter().filter(|f| f.host == Some(host)).map(lack).fold(f64::INFINITY, f64::min);
                    if !a.is_finite() {
                        return None;
                    }
                    let f = setup::forward(self.tube, self.end);
                    let normal = (out.t - f.u * flat.b - f.v * flat.c).normalize_or(out.t);
                    solids.push(Solid::Half(HalfSpace { origin: out.origin + out.t * a, outward: -normal }));
                    cuts.push(Cut { setup: s.clone(), at: a });
                }
                SetUp::Template { .. } => return None,
            }
        }
        let cut = |f: &Fibre| {
            let ray: Ray = self.rays.ray(f.p);
            solids.iter().filter_map(|s| s.entry(&ray, f64::NEG_INFINITY)).fold(f64::INFINITY, f64::min)
        };
        let left = fine.left(cut).filter(|l| l.gap.is_finite())?;
        for c in &mut cuts {
            c.at += left.shift;
            if let SetUp::HoleSaw { centre, .. } = &mut c.setup {
                *centre += left.shift;
            }
        }
        let process = if cuts.len() == 1 { Process::HoleSaw } else { Process::Passes };
        let Left { gap, outside, between, .. } = left;
        Some(Candidate { process, cuts, gap, outside, as_set: gap, bound: 0.0, between, fits: false, note })
    }

    fn template(&self, target: &Target) -> Option<Candidate> {
        let radial = |f: &Fibre| {
            let (po, pi) = self.rays.wall(self.tube.outline.station(f.round));
            match (self.rays.follow(po), self.rays.follow(pi)) {
                (Some(o), Some(i)) => self.rays.radial([po, pi], o, i),
                _ => f.t,
            }
        };
        let Left { gap, outside, between, .. } = target.left(radial)?;
        let process = Process::Template;
        Some(Candidate {
            process,
            cuts: Vec::new(),
            gap,
            outside,
            as_set: gap,
            bound: 0.0,
            between,
            fits: false,
            note: None,
        })
    }
}
