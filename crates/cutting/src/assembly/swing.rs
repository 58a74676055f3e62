//! Ways in by a swing: one end is laid on its host, and the piece is turned until the other end lands.

use geometry::{DVec3, Outline};
use shape::End;

use super::turn::Turn;
use super::yard::{Trim, Yard, other};
use super::{Last, Way};
use crate::plan::crossing;

/// Angles at which a piece that is turned out is looked at, degrees: whether it gets away straight from there.
const STOPS: [f64; 14] = [1.0, 2.0, 3.0, 4.0, 5.0, 7.0, 9.0, 12.0, 15.0, 20.0, 27.0, 35.0, 45.0, 60.0];

/// A slide along the axis of more than this over a radian, in lengths between the ends, is no longer a swing.
const STEEPEST: f64 = 1.0;

/// How a slide counts against an angle when the least move is chosen, rad/m: 60 mm as much as 17 degrees.
const SLIDE: f64 = 5.0;

/// An axis to turn about, and what the end that stays is laid on.
struct Axis {
    end: End,
    on: usize,
    at: DVec3,
    axis: DVec3,
}

/// One that was found, and how much of a move it is.
struct Swung {
    effort: f64,
    way: Way,
}

impl Yard<'_> {
    /// The swing in that takes the least turning and sliding.
    pub(super) fn swing(&self, m: usize, standing: &[usize], trim: Trim) -> Option<Way> {
        let mut standing = standing.to_vec();
        let mut best: Option<Swung> = None;
        for axis in self.axes(m, &standing) {
            let far_end = other(axis.end);
            // What the end that swings is cut to blocks first.
            standing.sort_by_key(|&s| !self.bodies[m].hosts[far_end as usize].contains(&self.bodies[s].tube));
            for pitch in self.pitches(m, &axis) {
                for sense in [1.0, -1.0] {
                    let most = best.as_ref().map_or(f64::INFINITY, |b| b.effort);
                    if let Some(found) = self.turned_out(m, &axis, pitch, sense, &mut standing, trim, most)
                        && best.as_ref().is_none_or(|b| self.better(m, &found, b))
                    {
                        best = Some(found);
                    }
                }
            }
        }
        best.map(|b| b.way)
    }

    /// Less of a move; of the same the wider margin; of these what is told the same of mirror images: the other end from
    /// above, from the front, from outside.
    fn better(&self, m: usize, a: &Swung, b: &Swung) -> bool {
        const ALIKE: f64 = 1e-9;
        let side = self.side(m);
        let key = |f: &Swung| {
            let from = match &f.way.last {
                Some(Last::Swing { from, .. }) => *from,
                _ => DVec3::ZERO,
            };
            [-f.effort, f.way.margin, from.z, from.x, from.y * side]
        };
        let (a, b) = (key(a), key(b));
        a.iter().zip(&b).find(|(x, y)| (*x - *y).abs() > ALIKE).is_some_and(|(x, y)| x > y)
    }

    /// Axes to try at both ends: a round host's own; across both hosts; on a flat face the edge that the piece tips over.
    fn axes(&self, m: usize, standing: &[usize]) -> Vec<Axis> {
        let (body, tube) = (&self.bodies[m], &self.shape.tubes[self.bodies[m].tube]);
        let mut out = Vec::new();
        for end in End::BOTH {
            let far = &body.hosts[other(end) as usize];
            for &h in &body.hosts[end as usize] {
                let Some(&on) = standing.iter().find(|&&s| self.bodies[s].tube == h) else { continue };
                let host = &self.shape.tubes[h];
                let (_, at, along) = crossing(tube, end, host);
                let f = tube.outward(end);
                let round = matches!(host.outline, Outline::Circle { .. });
                let mut add = |at: DVec3, axis: DVec3| {
                    if let Some(axis) = axis.try_normalize() {
                        out.push(Axis { end, on, at, axis });
                    }
                };
                if round && body.coped.contains(&h) {
                    add(at, along);
                }
                let others = far.iter().map(|&o| crossing(tube, other(end), &self.shape.tubes[o]).2);
                for b in others.chain([f.t]) {
                    let across = along.cross(b);
                    if across.length() > FLAT {
                        add(f.origin, across);
                    }
                }
                if !round || !body.coped.contains(&h) {
                    let normal = mean(body.touches[end as usize].iter().map(|t| t.normal));
                    for &o in far {
                        let b = crossing(tube, other(end), &self.shape.tubes[o]).2;
                        let Some(side) = (b - normal * normal.dot(b)).try_normalize() else { continue };
                        for heel in [tube.outline.reach(), -tube.outline.reach()] {
                            add(f.origin + side * heel, normal.cross(side));
                        }
                    }
                }
            }
        }
        out
    }

    /// Slides along an axis over a radian, m: none; and those that let the other end move along a tube that it is cut to.
    fn pitches(&self, m: usize, axis: &Axis) -> Vec<f64> {
        let (body, tube) = (&self.bodies[m], &self.shape.tubes[self.bodies[m].tube]);
        let far_end = other(axis.end);
        let far = tube.outward(far_end).origin;
        let arm = far - axis.at;
        let mut out = vec![0.0];
        let normal = mean(body.touches[far_end as usize].iter().map(|t| t.normal));
        for &h in &body.hosts[far_end as usize] {
            let b = crossing(tube, far_end, &self.shape.tubes[h]).2;
            let side = normal.cross(b);
            let by = axis.axis.dot(side);
            let pitch = -axis.axis.cross(arm).dot(side) / by;
            if by.abs() > FLAT && pitch.abs() < STEEPEST * arm.length() && out.iter().all(|p| (p - pitch).abs() > 1e-3)
            {
                out.push(pitch);
            }
        }
        out
    }

    /// Turns a piece out until it gets away straight, if that takes less than `most`.
    #[allow(clippy::too_many_arguments)]
    fn turned_out(
        &self,
        m: usize,
        axis: &Axis,
        pitch: f64,
        sense: f64,
        standing: &mut [usize],
        trim: Trim,
        most: f64,
    ) -> Option<Swung> {
        let tube = &self.shape.tubes[self.bodies[m].tube];
        let full = STOPS[STOPS.len() - 1].to_radians();
        let turn = Turn { at: axis.at, axis: axis.axis * sense, angle: full, slide: pitch * full };
        let mut from = 0.0;
        for stop in STOPS.map(f64::to_radians) {
            let effort = stop * (1.0 + SLIDE * pitch.abs());
            // As much as the best is worth a look for its margin.
            if effort > most + 1e-9 || self.turn_blocked(m, &turn, (from, stop), standing, trim).is_some() {
                return None;
            }
            from = stop;
            let pose = turn.pose(stop);
            let away = mean(self.bodies[m].touches[axis.end as usize].iter().map(|t| t.normal));
            let extra = [pose.direction(away), -pose.direction(tube.outward(axis.end).t)];
            if let Some((d, margin)) = self.plainly_out(m, pose, &extra, standing, trim) {
                let far = tube.outward(other(axis.end)).origin - turn.at;
                let last = Last::Swing {
                    end: axis.end,
                    on: self.name(axis.on),
                    turn: Turn { angle: stop, slide: pitch * stop, ..turn },
                    from: (turn.axis.cross(far) + turn.axis * pitch).normalize_or_zero(),
                };
                return Some(Swung { effort, way: Way { from: d, margin, last: Some(last) } });
            }
        }
        None
    }
}

/// Directions nearer to parallel than this have no plane of their own.
const FLAT: f64 = 0.05;

fn mean(list: impl Iterator<Item = DVec3>) -> DVec3 {
    list.sum::<DVec3>().normalize_or_zero()
}
