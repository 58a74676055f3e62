//! Homologation of a touring car's cage.

use geometry::DVec3;

use super::roles::{Group, Roles, side};
use super::{Plan, Planned, Published};
use crate::build::Spot;
use crate::cases::Wanted;

const SET: &str = "touring-cage";
const CLAUSE: &str = "FIA homologation regulations for safety cages, static tests";
const EDITION: &str = "from memory, load factors differ by edition: hold them against your own";

/// Added to the mass, kg.
const CREW: f64 = 150.0;
/// Published factors, N/kg (7.5 and 3.5 daN/kg).
const DOWN: f64 = 75.0;
const ASIDE: f64 = 35.0;
/// Largest displacements, m: main rollbar, front.
const MOST: [f64; 2] = [0.05, 0.1];
/// How the ram on a front leg leans: inward, and rearward, degrees.
const LEANS: [f64; 2] = [25.0, 5.0];

const ROLE: &str = "give the tubes concerned a `role` with the words `main hoop`, `front hoop`, `rear brace` or `backstay`; \
a brace must join the main hoop";

pub(super) fn plan(roles: &Roles<'_>, plan: &mut Plan) {
    let all = ["main rollbar, down", "main rollbar, sideways", "front leg"];
    let main = roles.need(&roles.main, "main hoop").and_then(|m| {
        if roles.braces.is_empty() { Err("no brace or backstay joins the main hoop".to_owned()) } else { Ok(m) }
    });
    let (main, front) = match main.and_then(|m| Ok((m, roles.need(&roles.front, "front hoop")?))) {
        Ok(x) => x,
        Err(why) => {
            for what in all {
                plan.missing(&format!("{SET}: {what}"), why.clone(), ROLE);
            }
            return;
        }
    };
    let feet: Vec<Spot> = main.feet.iter().chain(&front.feet).chain(&roles.braces).cloned().collect();
    let w = roles.mass.0 + CREW;
    let mut add = |name: String, factor: f64, most: f64, places: String, on: Where<'_>| {
        let held = plan.spots(&feet);
        let (at, along) = match on {
            Where::At(s, f) => (vec![(plan.spot(s), f)], Vec::new()),
            Where::Along(g, f) if g.straight => {
                // Its ends must be nodes.
                plan.spots(&g.bar.1);
                (Vec::new(), vec![(g.bar.0, g.stretch(), f)])
            }
            Where::Along(g, f) => (vec![(plan.spot(&g.top), f)], Vec::new()),
        };
        plan.cases.push(Planned {
            name: format!("{SET}: {name}"),
            published: Published {
                set: SET,
                clause: CLAUSE,
                edition: EDITION,
                scales: format!("{factor} daN/kg times w = {} and {CREW:.0} kg for the crew, {w:.0} kg", roles.mass.1),
                accepts: format!(
                    "no place moves more than {:.0} mm; no failure, taken here as no yielding",
                    most * 1e3
                ),
                places: format!(
                    "{places}; held at the lower ends of both hoops and of the braces that join the main hoop"
                ),
                energy: None,
                elastic: None,
            },
            at,
            along,
            held,
            fixed: false,
            wanted: Wanted { most: Some(most), utilisation: 1.0, buckling: 1.0, collapse: 0.0 },
        });
    };
    let tube = |g: &Group| roles.shape.tubes[g.bar.0].name.clone();
    let stretch =
        if main.straight { "spread evenly over the level top" } else { "at the highest place, its top being round" };
    let places = format!("{stretch} of {} (role `main hoop`)", tube(main));
    add("main rollbar, down".into(), 7.5, MOST[0], places, Where::Along(main, DVec3::Z * -DOWN * w));
    for (k, y) in [(0, 1.0), (1, -1.0)] {
        let places = format!("inward at the {} upper corner of {} (role `main hoop`)", side(y), tube(main));
        let force = DVec3::Y * (-y * ASIDE * w);
        add(
            format!("main rollbar, sideways from the {}", side(y)),
            3.5,
            MOST[0],
            places,
            Where::At(&main.bar.1[k], force),
        );
        let [inward, back] = LEANS.map(f64::to_radians);
        let way = DVec3::new(-back.tan(), -y * inward.tan(), -1.0).normalize();
        let places = format!(
            "at the {} upper corner of {} (role `front hoop`), down and leaning {}° inward and {}° rearward",
            side(y),
            tube(front),
            LEANS[0],
            LEANS[1]
        );
        add(format!("front leg, {}", side(y)), 3.5, MOST[1], places, Where::At(&front.bar.1[k], way * (ASIDE * w)));
    }
}

enum Where<'a> {
    At(&'a Spot, DVec3),
    Along(&'a Group, DVec3),
}
