//! Angles of legs.

use design::rules::{AngleTo, Limits, Part, Seen};
use geometry::{DVec2, DVec3, Segment};
use shape::Shape;

use crate::roles::Who;
use crate::{Figure, Held};

/// A leg that is seen so short, as a part of itself, shows no angle there.
const SEEN: f64 = 0.1;

/// A leg that only touches a height by this much is not beyond it, m.
const BEYOND: f64 = 1e-3;

/// Each leg that counts.
pub fn held(
    shape: &Shape,
    who: &Who<'_>,
    tube: usize,
    to: &AngleTo,
    seen: Option<Seen>,
    part: Option<&Part>,
    limits: &Limits,
) -> Vec<Held> {
    let t = &shape.tubes[tube];
    let name = vec![t.name.clone()];
    if let AngleTo::Tubes(roles) = to {
        return with(shape, who, tube, roles, seen, limits);
    }
    let height = match part {
        None => None,
        Some(p) => {
            let others = who.of(&p.of);
            let Some(z) = meeting(shape, tube, &others).map(|m| m.2.z).reduce(f64::max) else {
                return vec![Held::not_checked(name, "", format!("no tube of {} meets it", who.names(&p.of)))];
            };
            Some((p.above, z))
        }
    };
    let mut out = Vec::new();
    for seg in &t.chain.segments {
        let Segment::Leg { from, along, length } = *seg else { continue };
        let (a, b) = (from.z, from.z + along.z * length);
        let counts = height.is_none_or(|(above, z)| if above { a.max(b) > z + BEYOND } else { a.min(b) < z - BEYOND });
        let Some(d) = shown(along, seen).filter(|_| counts) else { continue };
        let angle = match to {
            AngleTo::Vertical => d.truncate().length().atan2(d.z.abs()),
            AngleTo::Level => d.z.abs().atan2(d.truncate().length()),
            _ => DVec2::new(d.y, d.z).length().atan2(d.x.abs()),
        };
        let what = match to {
            AngleTo::Vertical => "angle from vertical",
            AngleTo::Level => "angle from level",
            _ => "angle from forward",
        };
        out.extend(against(&name, what, angle, limits, from + along * (length / 2.0)));
    }
    if out.is_empty() {
        out.push(Held::not_checked(name, "", "no straight leg of it shows an angle there"));
    }
    out
}

/// A direction as it is seen, if enough of it is.
fn shown(d: DVec3, seen: Option<Seen>) -> Option<DVec3> {
    let flat = match seen {
        None => d,
        Some(Seen::Side) => DVec3::new(d.x, 0.0, d.z),
        Some(Seen::Front) => DVec3::new(0.0, d.y, d.z),
        Some(Seen::Above) => DVec3::new(d.x, d.y, 0.0),
    };
    (flat.length() > SEEN * d.length()).then_some(flat)
}

fn against(name: &[String], what: &str, angle: f64, limits: &Limits, at: DVec3) -> Vec<Held> {
    let angle = Figure::Angle(angle);
    let least = limits.least.map(|l| Held::least(name.to_vec(), what, angle, Figure::Angle(l)).at(at));
    let most = limits.most.map(|m| Held::most(name.to_vec(), what, angle, Figure::Angle(m)).at(at));
    least.into_iter().chain(most).collect()
}

/// Places where others meet a tube: its station there, the other with its own, and where.
pub(super) fn meeting<'s>(
    shape: &'s Shape,
    tube: usize,
    others: &'s [usize],
) -> impl Iterator<Item = (f64, (usize, f64), DVec3)> + 's {
    shape.joints.iter().flat_map(move |j| {
        let own = j.members.iter().find(|m| m.tube == tube);
        let met = j.members.iter().filter(move |m| m.tube != tube && others.contains(&m.tube));
        own.into_iter().flat_map(move |o| met.clone().map(move |m| (o.station, (m.tube, m.station), j.at)))
    })
}

/// Between the axes where they meet: the acute angle.
fn with(
    shape: &Shape,
    who: &Who<'_>,
    tube: usize,
    roles: &[design::rules::RoleId],
    seen: Option<Seen>,
    limits: &Limits,
) -> Vec<Held> {
    let others = who.of(roles);
    let t = &shape.tubes[tube];
    let mut out = Vec::new();
    for (s, (other, so), at) in meeting(shape, tube, &others) {
        let o = &shape.tubes[other];
        let names = vec![t.name.clone(), o.name.clone()];
        let (a, b) = (shown(t.chain.tangent(s), seen), shown(o.chain.tangent(so), seen));
        let (Some(a), Some(b)) = (a, b) else {
            out.push(Held::not_checked(names, "", "they show no angle from there"));
            continue;
        };
        let angle = a.cross(b).length().atan2(a.dot(b).abs());
        out.extend(against(&names, "angle between them", angle, limits, at));
    }
    if out.is_empty() {
        out.push(Held::not_checked(vec![t.name.clone()], "", format!("it meets no tube of {}", who.names(roles))));
    }
    out
}
