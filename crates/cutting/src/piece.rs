//! One piece: everything that is needed to make it.

use design::{SectionShape, TubeState};
use geometry::{DVec3, Solid};
use shape::{End, Shape};

use crate::Detail;
use crate::bends::{self, BendPlan, WorkFrom};
use crate::plan::{EndKind, EndPlan, crossing};
use crate::profile::{EndRays, Profile, profile};
use crate::setup::{self, SetUp};
use crate::volume;

/// One end of a piece.
#[derive(Clone, Debug, serde::Serialize)]
pub struct EndCut {
    /// `square`, `plane`, `mitre` or `cope`.
    pub kind: &'static str,
    /// Names of the tubes it is cut to.
    pub to: Vec<String>,
    /// Those of them that the joint does not name but the end runs into.
    pub extra: Vec<String>,
    /// The joint's name, if there is one.
    pub joint: Option<String>,
    /// The end point, m.
    pub at: DVec3,
    /// Root gap, m.
    pub gap: f64,
    /// Left square and this much longer than its long point, to be trimmed in place, m.
    pub left_long: f64,
    /// The cut's line.
    pub profile: Profile,
    /// Set-ups, in the order of cutting.
    pub setups: Vec<SetUp>,
    /// Where the notch's centre lies, m beyond the end point: where the axis of the tube that it is coped to passes.
    /// 0 for plane cuts, whose plane holds the end point unless it was given otherwise.
    pub centre: f64,
}

/// Lengths, m. Bent pieces: developed, along the centreline.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Lengths {
    /// Between the end points of the path.
    pub between_points: f64,
    /// Between the centres of the two notches (where the other tubes' axes pass).
    pub between_centres: f64,
    /// Over the long points: the shortest stick that holds the piece.
    pub over_long: f64,
    /// Over the short points.
    pub over_short: f64,
    /// Along the scribe line, outside.
    pub on_scribe: f64,
    /// Straight from end point to end point, after bending.
    pub chord: f64,
    /// What to cut from the stick: over the long points, with what is left long and what the bender's clamp needs.
    pub blank: f64,
}

/// One piece.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Piece {
    /// Name of the tube.
    pub name: String,
    /// Index of the tube in the shape.
    #[serde(skip)]
    pub tube: usize,
    /// Number in the fitting order, from 1.
    pub number: usize,
    /// Name of the section.
    pub section: String,
    /// Its dimensions, m.
    pub size: SectionShape,
    /// Name of the material.
    pub material: String,
    /// Permanent or temporary.
    pub state: TubeState,
    /// The note on it.
    pub note: Option<String>,
    /// The tube whose mirror image this is.
    pub twin_of: Option<String>,
    /// Lengths.
    pub lengths: Lengths,
    /// Start and end.
    pub ends: [EndCut; 2],
    /// Bends; `None` for a straight piece.
    pub bends: Option<BendPlan>,
    /// Volume of the finished piece, m³.
    pub volume: f64,
    /// kg.
    pub mass: f64,
}

impl Piece {
    /// The end at an end.
    pub fn end(&self, e: End) -> &EndCut {
        &self.ends[e as usize]
    }
}

/// Works out one piece.
pub(crate) fn piece(shape: &Shape, plans: &[[EndPlan; 2]], solids: &[Vec<Solid>], i: usize, detail: Detail) -> Piece {
    let t = &shape.tubes[i];
    let spec = &shape.design.tubes[t.id.0];
    let section = &shape.design.sections[t.section.0];
    let material = &shape.design.materials[section.material.0];
    let mut volume = (t.outline.area() - t.bore.area()) * t.chain.length();
    let mut scribe = t.chain.length();
    let ends = End::BOTH.map(|end| {
        let plan = &plans[i][end as usize];
        let rays = EndRays::new(shape, t, end, plan, solids);
        let profile = profile(&rays, detail);
        volume += volume::beyond(&rays, t, &profile, detail);
        scribe += profile.fibres[0].outer;
        let setups = setup::setups(shape, t, end, plan, &rays, &profile);
        // A tube looked at because it is near may turn out not to be touched.
        let met = |k: &usize| !plan.extra.contains(k) || profile.fibres.iter().any(|f| f.host == Some(*k));
        let names =
            |list: &[usize]| list.iter().filter(|k| met(k)).map(|&k| shape.tubes[k].name.clone()).collect::<Vec<_>>();
        let (kind, to, centre) = match &plan.kind {
            EndKind::Square(past) => ("square", Vec::new(), *past),
            EndKind::Plane(_, Some(o)) => ("mitre", names(&[*o]), 0.0),
            EndKind::Plane(h, None) => {
                let f = t.outward(end);
                let s = -h.height(f.origin) / f.t.dot(h.outward);
                ("plane", Vec::new(), if s.is_finite() { s } else { 0.0 })
            }
            EndKind::Cope(hosts) => {
                let first = &shape.tubes[hosts[0]];
                // A saw's own centre, which on a bend is not where the axes pass.
                let saw = setups.iter().find_map(|s| match s {
                    SetUp::HoleSaw { against, centre, .. } if *against == first.name => Some(*centre),
                    _ => None,
                });
                ("cope", names(hosts), saw.unwrap_or_else(|| crossing(t, end, first).0))
            }
        };
        EndCut {
            kind,
            to,
            extra: names(&plan.extra),
            joint: plan.joint.map(|j| shape.joints[j].name.clone()),
            at: t.outward(end).origin,
            gap: plan.gap,
            left_long: plan.long,
            profile,
            setups,
            centre,
        }
    });
    let beyond = [ends[0].profile.long + ends[0].left_long, ends[1].profile.long + ends[1].left_long];
    let bends = bends::plan(shape, t, beyond);
    let between = t.chain.length();
    let grip = bends.as_ref().map_or(0.0, |b| b.grip_extra);
    let lengths = Lengths {
        between_points: between,
        between_centres: between + ends[0].centre + ends[1].centre,
        over_long: between + ends[0].profile.long + ends[1].profile.long,
        over_short: between + ends[0].profile.short + ends[1].profile.short,
        on_scribe: scribe,
        chord: ends[0].at.distance(ends[1].at),
        blank: between + beyond[0] + beyond[1] + grip,
    };
    Piece {
        name: t.name.clone(),
        tube: i,
        number: i + 1,
        section: section.name.clone(),
        size: section.shape,
        material: material.name.clone(),
        state: t.state,
        note: spec.note.clone(),
        twin_of: t.twin.then(|| spec.name.clone()),
        lengths,
        ends,
        bends,
        volume,
        mass: volume * material.density,
    }
}

impl BendPlan {
    /// The end that goes into the clamp first.
    pub fn working_end(&self) -> End {
        match self.from {
            WorkFrom::Start => End::Start,
            WorkFrom::End => End::End,
        }
    }
}
