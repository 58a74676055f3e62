//! The tubes' welded ends under each case: does the wall hold that they stand on, how thick must the weld be?

use design::TubeState;
use frame::{Frame, Response};
use geometry::DVec3;
use serde::Serialize;
use shape::Shape;

use crate::build::Built;
use crate::joints::{
    Checked, Ends, Hollow, NotChecked, Prepared, Pull, Rules, Standing, Steel, ended, groups, hollow, pulls, wanted,
};

/// A tube's end that is welded on others.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Welded {
    /// The joint.
    pub joint: String,
    /// Where, m.
    pub at: DVec3,
    /// The tube.
    pub tube: String,
    /// Which end of it: `start` or `end`.
    pub end: &'static str,
    /// The one tube that passes there, on which it stands; `None` if there is none.
    pub chord: Option<String>,
    /// Its wall, m.
    pub wall: f64,
    /// Throat of a weld all round as strong as the tube, m.
    pub full: f64,
    /// The same as printed for the steel's grade, if it is one of those, m.
    pub published: Option<f64>,
    /// Why its resistance is not checked whatever the load.
    pub not_checked: Option<NotChecked>,
    /// Under each case that was worked out.
    pub loads: Vec<Loaded>,
}

/// A welded end under a case.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Loaded {
    /// The case.
    pub load: String,
    /// Tension, N.
    pub force: f64,
    /// Throat that the weld must have for what it carries, m.
    pub throat: f64,
    /// Resistances and use, if they were checked.
    pub checked: Option<Checked>,
    /// Why they were not, if that is by the load.
    pub not_checked: Option<NotChecked>,
}

impl Loaded {
    /// Use of the whole, or of the force alone if a moment is covered by no formula; and whether it is the whole.
    pub fn used(&self) -> Option<(f64, bool)> {
        let c = self.checked.as_ref()?;
        Some(c.utilisation.map_or((c.axial.max(c.chord.unwrap_or(0.0)), false), |u| (u, true)))
    }
}

/// Ends that belong together: one chord's, or one joint's that no chord passes.
struct Group {
    joints: Vec<usize>,
    /// Indices of the ends; with a chord, in its node's order.
    ends: Vec<usize>,
    node: Option<(Standing, Prepared)>,
}

/// What of the welded ends does not depend on loads, and the results that are gathered case by case.
pub(crate) struct Welds {
    rules: Rules,
    groups: Vec<Group>,
    /// For each end: its tube, which length of it stands on the joint, the joint, its section, the steel beside it.
    places: Vec<(usize, Ends, usize, Hollow, Steel)>,
    pub ends: Vec<Welded>,
}

impl Welds {
    pub(crate) fn new(shape: &Shape) -> Welds {
        let rules = Rules { least_wall: shape.design.strength.least_wall, ..Rules::default() };
        let mut w = Welds { rules, groups: Vec::new(), places: Vec::new(), ends: Vec::new() };
        let sections: Vec<Hollow> = shape.tubes.iter().map(|t| hollow(shape, t)).collect();
        // An end that meets nothing is not welded.
        let meet = |j: &usize| shape.joints[*j].members.iter().filter(|m| lasts(shape, m.tube)).count() > 1;
        for joints in groups(shape) {
            if !joints.iter().any(meet) {
                continue;
            }
            let first = w.ends.len();
            for &j in &joints {
                for (tube, towards) in ended(shape, &shape.joints[j]) {
                    w.add(shape, &sections, j, tube, towards);
                }
            }
            let mut ends: Vec<usize> = (first..w.ends.len()).collect();
            let node = match Standing::new(shape, &joints) {
                Ok(standing) => {
                    let of = |&(t, towards): &(usize, Ends)| {
                        (first..w.ends.len()).find(|&k| (w.places[k].0, w.places[k].1) == (t, towards))
                    };
                    ends = standing.ends().iter().filter_map(of).collect();
                    let prepared = Prepared::new(standing.node(), &w.rules);
                    for (i, &k) in ends.iter().enumerate() {
                        let e = &mut w.ends[k];
                        e.chord = Some(standing.node().chord.name.clone());
                        e.not_checked = prepared.refused().map(|all| all[i].clone());
                    }
                    Some((standing, prepared))
                }
                Err(why) => {
                    w.ends[first..].iter_mut().for_each(|e| e.not_checked = Some(why.clone()));
                    None
                }
            };
            w.groups.push(Group { joints, ends, node });
        }
        w
    }

    fn add(&mut self, shape: &Shape, sections: &[Hollow], joint: usize, tube: usize, towards: Ends) {
        let (j, t) = (&shape.joints[joint], &shape.tubes[tube]);
        let section = sections[tube];
        // The weakest steel that meets there.
        let others = j.members.iter().filter(|m| lasts(shape, m.tube)).map(|m| sections[m.tube].steel);
        let on = others.min_by(|a, b| a.tensile_strength.total_cmp(&b.tensile_strength)).unwrap_or(section.steel);
        let throat = wanted(&section, &on, &self.rules, 0.0, [0.0; 2], 0.0, 0.0);
        self.ends.push(Welded {
            joint: j.name.clone(),
            at: j.at,
            tube: t.name.clone(),
            end: if towards == Ends::End { "start" } else { "end" },
            chord: None,
            wall: t.wall,
            full: throat.full,
            published: throat.published,
            not_checked: None,
            loads: Vec::new(),
        });
        self.places.push((tube, towards, joint, section, on));
    }

    /// Adds a case.
    pub(crate) fn load(&mut self, shape: &Shape, built: &Built, frame: &Frame, case: &str, r: &Response) {
        let all = pulls(built, frame, r);
        let mut of_group: Vec<Pull> = Vec::new();
        for g in &mut self.groups {
            of_group.clear();
            of_group.extend(g.joints.iter().flat_map(|&j| &all[j]));
            let loaded = g.node.as_mut().map(|(s, p)| s.load(&of_group).map(|n| (n, p)));
            match loaded {
                Some(Ok((node, prepared))) if prepared.refused().is_none() => {
                    for (report, &k) in prepared.check(node, &self.rules).into_iter().zip(&g.ends) {
                        let (checked, not_checked) = match report.outcome {
                            Ok(c) => (Some(c), None),
                            Err(e) => (None, Some(e)),
                        };
                        let force = node.braces[g.ends.iter().position(|&x| x == k).unwrap_or(0)].tension;
                        let throat = report.weld.wanted;
                        self.ends[k].loads.push(Loaded { load: case.to_owned(), force, throat, checked, not_checked });
                    }
                }
                _ => {
                    for &k in &g.ends {
                        let (force, throat) = alone(shape, &all, &self.places[k], &self.rules);
                        let load = case.to_owned();
                        let l = Loaded { load, force, throat, checked: None, not_checked: None };
                        self.ends[k].loads.push(l);
                    }
                }
            }
        }
    }
}

fn lasts(shape: &Shape, tube: usize) -> bool {
    shape.tubes[tube].state != TubeState::Temporary
}

/// Every welded end of a tube under each of some solved cases, with their names.
pub fn welded(shape: &Shape, built: &Built, frame: &Frame, cases: &[(String, &Response)]) -> Vec<Welded> {
    let mut w = Welds::new(shape);
    cases.iter().for_each(|(name, r)| w.load(shape, built, frame, name, r));
    w.ends
}

/// Tension in a tube's end, and the throat of its weld, by what the tube does to its joint.
fn alone(
    shape: &Shape,
    all: &[Vec<Pull>],
    &(tube, towards, joint, section, on): &(usize, Ends, usize, Hollow, Steel),
    rules: &Rules,
) -> (f64, f64) {
    let end = if towards == Ends::End { shape::End::Start } else { shape::End::End };
    let own = shape.tubes[tube].outward(end);
    let along = -own.t;
    let pull = all[joint].iter().find(|p| p.tube == tube && p.towards == towards);
    pull.map_or((0.0, 0.0), |p| {
        let tension = p.force.dot(along);
        // Bending about v lies in the plane of u: the order of the section's moduli.
        let moments = [p.moment.dot(own.v), p.moment.dot(own.u)];
        let shear = (p.force - along * tension).length();
        (tension, wanted(&section, &on, rules, tension, moments, p.moment.dot(along), shear).wanted)
    })
}
