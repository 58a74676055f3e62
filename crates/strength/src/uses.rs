//! The largest use of a frame that was changed.

use frame::{After, Edit, Frame, Passed, Response};
use geometry::{DVec3, Segment};

use crate::build::Built;
use crate::sections::Profile;
use crate::stress::Stress;

/// Longest step along a bend between two places where stress is taken, rad: over ten degrees a moment that varies as the
/// sine differs by less than 0.4 % from the larger of both ends.
const STEP: f64 = std::f64::consts::PI / 18.0;

/// Places along a leg where stress is taken, if it is loaded along its length.
const ALONG: usize = 4;

/// Into how many parts a piece is cut by the places where stress is taken.
pub(crate) fn parts(segment: &Segment, loaded: bool) -> usize {
    match segment {
        Segment::Arc { sweep, .. } => (sweep / STEP).ceil() as usize,
        Segment::Leg { .. } if loaded => ALONG,
        Segment::Leg { .. } => 1,
    }
}

/// Where stress is taken.
struct Place {
    beam: usize,
    axes: geometry::Frame,
    /// From there to the beam's end.
    arm: DVec3,
}

/// A solved case with what its uses are held against.
struct Pressed<'a> {
    response: &'a Response,
    limit: f64,
    /// At each place, what the loads along the beam add to the force and moment of its end; nothing if none are.
    rest: Vec<(DVec3, DVec3)>,
}

/// A use as a part of its limit, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Worst {
    pub part: f64,
    pub case: usize,
    pub beam: usize,
}

/// Uses at all places under all cases.
pub(crate) struct Uses<'a> {
    built: &'a Built,
    places: Vec<Place>,
    cases: Vec<Pressed<'a>>,
    /// The most used places: case, place; one for each case and beam.
    watched: Vec<(usize, usize)>,
    pub now: Worst,
}

/// How many places bound what a change can do: a frame is seldom used alike in more.
const WATCHED: usize = 24;

impl<'a> Uses<'a> {
    /// For solved cases with their limits of use; `None` if there are none.
    pub(crate) fn new(built: &'a Built, frame: &Frame, cases: &[(&'a Response, f64)]) -> Option<Uses<'a>> {
        let mut places = Vec::new();
        let mut on: Vec<(usize, f64)> = Vec::new();
        for (beam, b) in built.model.beams.iter().enumerate() {
            let loaded = cases.iter().any(|(r, _)| r.spread[beam] != DVec3::ZERO);
            for (k, p) in b.pieces.iter().enumerate() {
                let (n, l) = (parts(&p.segment, loaded), p.segment.length());
                for j in 0..=n {
                    let s = l * j as f64 / n as f64;
                    let axes = p.at(s);
                    places.push(Place { beam, axes, arm: b.end() - axes.origin });
                    on.push((k, s));
                }
            }
        }
        let pressed: Vec<Pressed<'a>> = cases
            .iter()
            .map(|&(response, limit)| {
                let rest = if response.spread.iter().all(|q| *q == DVec3::ZERO) {
                    Vec::new()
                } else {
                    let of = |(p, &(piece, s)): (&Place, &(usize, f64))| {
                        let end = &response.end_forces[p.beam];
                        let passed = frame.passed(response, p.beam, piece, s);
                        let force = frame::six::first(end);
                        (passed.force - force, passed.moment - frame::six::last(end) - p.arm.cross(force))
                    };
                    places.iter().zip(&on).map(of).collect()
                };
                Pressed { response, limit, rest }
            })
            .collect();
        let now = Worst { part: 0.0, case: 0, beam: 0 };
        let mut uses = Uses { built, places, cases: pressed, watched: Vec::new(), now };
        let mut all: Vec<(f64, usize, usize)> = Vec::new();
        for (case, c) in uses.cases.iter().enumerate() {
            let mut last: Option<(f64, usize, usize)> = None;
            for (k, p) in uses.places.iter().enumerate() {
                let part = uses.part(case, k, &c.response.end_forces[p.beam], uses.profile(p.beam));
                match &mut last {
                    Some(l) if uses.places[l.2].beam == p.beam => {
                        if part > l.0 {
                            *l = (part, case, k);
                        }
                    }
                    _ => all.extend(last.replace((part, case, k))),
                }
            }
            all.extend(last);
        }
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        let &(part, case, k) = all.first()?;
        uses.now = Worst { part, case, beam: uses.places[k].beam };
        uses.watched = all.iter().take(WATCHED).map(|w| (w.1, w.2)).collect();
        uses.watched.sort_unstable();
        Some(uses)
    }

    fn profile(&self, beam: usize) -> &'a Profile {
        &self.built.profiles[self.built.model.beams[beam].section]
    }

    /// Use at a place as a part of its limit, from the force on its beam's end.
    fn part(&self, case: usize, place: usize, end: &frame::six::Six, profile: &Profile) -> f64 {
        let (c, p) = (&self.cases[case], &self.places[place]);
        let (force, moment) = (frame::six::first(end), frame::six::last(end));
        let (more, turn) = c.rest.get(place).copied().unwrap_or_default();
        let passed = Passed { frame: p.axes, force: force + more, moment: moment + p.arm.cross(force) + turn };
        Stress::of(&passed, profile).utilisation / c.limit
    }

    /// A bound from below on the largest use after a change: at the places that are used most before it. `after` makes the
    /// changed frame of a case.
    pub(crate) fn at_least<'b>(
        &self,
        mut after: impl FnMut(usize) -> After<'b>,
        resized: impl Fn(usize) -> Option<Profile>,
    ) -> f64 {
        let mut most = 0.0f64;
        let mut of: Option<(usize, After<'b>)> = None;
        for &(case, k) in &self.watched {
            if of.as_ref().is_none_or(|o| o.0 != case) {
                of = Some((case, after(case)));
            }
            let Some((_, a)) = &of else { continue };
            let beam = self.places[k].beam;
            let [s, t] = self.built.model.beams[beam].nodes.map(|n| a.further(n));
            if let Some(end) = a.end_force(beam, [&s, &t]) {
                let own = resized(beam);
                most = most.max(self.part(case, k, &end, own.as_ref().unwrap_or(self.profile(beam))));
            }
        }
        most
    }

    /// The largest use after a change, added beams included.
    pub(crate) fn after<'b>(
        &self,
        edits: &[Edit],
        mut after: impl FnMut(usize) -> After<'b>,
        resized: impl Fn(usize) -> Option<Profile>,
    ) -> f64 {
        let mut most = 0.0f64;
        for (case, c) in self.cases.iter().enumerate() {
            let a = after(case);
            let further = a.all_further();
            let mut of: Option<(usize, Option<frame::six::Six>, Profile)> = None;
            for (k, p) in self.places.iter().enumerate() {
                if of.as_ref().is_none_or(|o| o.0 != p.beam) {
                    let end = a.end_force(p.beam, self.built.model.beams[p.beam].nodes.map(|n| &further[n]));
                    of = Some((p.beam, end, resized(p.beam).unwrap_or(*self.profile(p.beam))));
                }
                if let Some((_, Some(end), profile)) = &of {
                    most = most.max(self.part(case, k, end, profile));
                }
            }
            let added = edits.iter().filter_map(|e| if let Edit::Add(b) = e { Some(b) } else { None });
            for (b, end) in added.zip(a.added()) {
                let profile = &self.built.profiles[b.section];
                let force = frame::six::first(&end);
                for p in &b.pieces {
                    for axes in [p.at(0.0), p.at(p.segment.length())] {
                        let moment = frame::six::last(&end) + (b.end() - axes.origin).cross(force);
                        let stress = Stress::of(&Passed { frame: axes, force, moment }, profile);
                        most = most.max(stress.utilisation / c.limit);
                    }
                }
            }
        }
        most
    }
}
