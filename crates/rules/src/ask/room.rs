//! Room round people, as shape measured it.

use design::rules::RoomOf;

use crate::{Facts, Figure, Held};

/// Each person.
pub fn held(facts: &Facts<'_>, of: RoomOf, least: f64) -> Vec<Held> {
    let Some(room) = facts.room else { return vec![Held::not_checked(Vec::new(), "", "no room was worked out")] };
    if room.occupants.is_empty() {
        return vec![Held::not_checked(Vec::new(), "", "the design has no [occupant.NAME]")];
    }
    let mut out = Vec::new();
    for o in &room.occupants {
        let before = out.len();
        let mut add = |of: Vec<String>, what: &str, d: f64| {
            out.push(Held::least(of, what, Figure::Length(d), Figure::Length(least)));
        };
        match of {
            RoomOf::BetweenHoops | RoomOf::ToBraces => {
                for l in o.lines.iter().filter(|l| l.foot == (of == RoomOf::ToBraces)) {
                    add(
                        vec![o.name.clone(), l.hoop.clone(), l.other.clone()],
                        "helmet to the line over it",
                        l.distance,
                    );
                }
            }
            RoomOf::BehindMainHoop => {
                if let Some(f) = &o.rear_face {
                    add(vec![o.name.clone(), f.hoop.clone()], "helmet ahead of the hoop's rear face", f.distance);
                }
            }
            RoomOf::Helmet | RoomOf::Body => {
                for n in o.near.iter().filter(|n| of == RoomOf::Body || n.part == "helmet") {
                    add(vec![o.name.clone(), n.tube.clone()], &format!("{} to the nearest tube", n.part), n.distance);
                }
            }
        }
        if out.len() == before {
            let why = match of {
                RoomOf::BetweenHoops => "it takes tubes with role = \"main hoop\" and \"front hoop\"",
                RoomOf::ToBraces => "it takes a main hoop and braces that run rearward from it",
                RoomOf::BehindMainHoop => "its braces do not run forward, or there are none",
                RoomOf::Helmet | RoomOf::Body => "no tube is near",
            };
            out.push(Held::not_checked(vec![o.name.clone()], "", why));
        }
    }
    out
}
