//! Work machines: forces and energies with mass, OECD Code 8 (EU 1322/2014, Annex VII, table 8.1).

use geometry::DVec3;

use super::roles::{Group, Roles, names, side, spot};
use super::{Plan, Planned, Published};
use crate::build::Spot;
use crate::cases::Wanted;

const SET: &str = "work-machine";
const CLAUSE: &str = "OECD Code 8; EU 1322/2014, Annex VII, table 8.1";
const EDITION: &str = "consolidated 2016-10-14, as read; track-laying tractors. Other machines have tables of their own, of \
the same form";

/// The load's beam takes this part of the straight length.
const SPREAD: f64 = 0.8;
/// Places that stand for a force spread by a beam.
const PLACES: usize = 5;
/// How far an energy case is pushed past yielding where that is asked for, m.
const PUSHED: f64 = 0.3;

/// Table 8.1 for a mass: lateral force (N) and energy (J), vertical and longitudinal force (N).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Table {
    /// Lateral force, N.
    pub lateral: f64,
    /// Lateral energy, J.
    pub energy: f64,
    /// Vertical force, N.
    pub vertical: f64,
    /// Longitudinal force, N.
    pub longitudinal: f64,
}

/// The table's row for a mass in kg, `None` up to 800 kg, where it begins.
pub fn table(mass: f64) -> Option<Table> {
    let tons = mass / 1e4;
    let vertical = 20.0 * mass;
    let (lateral, energy, longitudinal) = if mass.is_nan() || mass <= 800.0 {
        return None;
    } else if mass <= 4630.0 {
        (6.0 * mass, 13e3 * tons.powf(1.25), 4.8 * mass)
    } else if mass <= 59500.0 {
        (70e3 * tons.powf(1.2), 13e3 * tons.powf(1.25), 56e3 * tons.powf(1.2))
    } else {
        (10.0 * mass, 2.03 * mass, 8.0 * mass)
    };
    Some(Table { lateral, energy, vertical, longitudinal })
}

/// Evenly over the middle of a stretch.
fn along(roles: &Roles<'_>, tube: usize, [from, to]: [f64; 2]) -> Vec<Spot> {
    let edge = (1.0 - SPREAD) / 2.0;
    let part = |k: usize| edge + SPREAD * k as f64 / (PLACES - 1) as f64;
    (0..PLACES).map(|k| spot(roles.shape, tube, from + (to - from) * part(k), &format!("place {}", k + 1))).collect()
}

/// The top of the hoop, or one place of it if it is round.
fn bar(roles: &Roles<'_>, main: &Group) -> Vec<Spot> {
    if main.straight { along(roles, main.bar.0, main.stretch()) } else { vec![main.top.clone()] }
}

/// What is loaded sideways from one side: the outermost upper member there, else the main hoop's corner.
fn lateral(roles: &Roles<'_>, main: &Group, k: usize, y: f64) -> (Vec<Spot>, String) {
    let shape = roles.shape;
    let middle = |t: usize| shape.tubes[t].chain.point(shape.tubes[t].chain.length() / 2.0);
    let outer = roles
        .roof_sides
        .iter()
        .copied()
        .filter(|&t| middle(t).y * y > 0.0)
        .max_by(|&a, &b| (middle(a).y * y).total_cmp(&(middle(b).y * y)));
    match outer {
        Some(t) => (
            along(roles, t, [0.0, shape.tubes[t].chain.length()]),
            format!("spread over the middle {:.0} % of {} (role `roof side`)", 100.0 * SPREAD, shape.tubes[t].name),
        ),
        None => (
            vec![main.bar.1[k].clone()],
            format!(
                "at the {} upper corner of {} (role `main hoop`), no tube there having the role `roof side`",
                side(y),
                shape.tubes[main.bar.0].name
            ),
        ),
    }
}

pub(super) fn plan(roles: &Roles<'_>, plan: &mut Plan) {
    let shape = roles.shape;
    let all = ["sideways", "down", "along"];
    let missing = |plan: &mut Plan, why: &str, help: &str| {
        for what in all {
            plan.missing(&format!("{SET}: {what}"), why.to_owned(), help);
        }
    };
    let Some(t) = table(roles.mass.0) else {
        let why = format!("its table begins over 800 kg, and the mass is {}", roles.mass.1);
        return missing(plan, &why, "give the machine's own mass as `strength.mass`, or loads of your own");
    };
    let main = match roles.need(&roles.main, "main hoop") {
        Ok(m) => m,
        Err(why) => {
            let help = "give the hoop behind the seat the `role` \"main hoop\", one before it \"front hoop\", and upper \
                        members that run fore and aft \"roof side\"";
            return missing(plan, &why, help);
        }
    };
    let feet: Vec<Spot> =
        main.feet.iter().chain(roles.front.iter().flat_map(|f| &f.feet)).chain(&roles.braces).cloned().collect();
    // A hoop by itself stands by being bolted down.
    let fixed = feet.len() == main.feet.len();
    let held_at = if fixed {
        "held at the lower ends of the hoop, against turning too, as it stands alone"
    } else {
        "held at the lower ends of the hoops and of the braces that join the main hoop"
    };
    let mut add = |name: String, force: DVec3, energy: Option<f64>, formula: &str, spots: Vec<Spot>, places: String| {
        let held = plan.spots(&feet);
        let share = force / spots.len() as f64;
        let at = plan.spots(&spots).into_iter().map(|s| (s, share)).collect();
        let accepts = match energy {
            Some(e) => format!(
                "the force is reached and {e:.0} J are taken up, U = 13000 (M/10000)^1.25 J up to 59500 kg, before a tube comes to a person"
            ),
            None => "no failure, taken here as no yielding; no tube comes to a person".to_owned(),
        };
        plan.cases.push(Planned {
            name: format!("{SET}: {name}"),
            published: Published {
                set: SET,
                clause: CLAUSE,
                edition: EDITION,
                scales: format!("{formula}, with M = {}", roles.mass.1),
                accepts,
                places: format!(
                    "{places}; {held_at}. Each load alone, on a new frame: the test loads one frame \
                     with all, one after another"
                ),
                energy,
                elastic: None,
            },
            at,
            along: Vec::new(),
            held,
            fixed,
            wanted: Wanted {
                most: None,
                utilisation: 1.0,
                buckling: 1.0,
                collapse: if energy.is_some() { PUSHED } else { 0.0 },
            },
        });
    };
    let lateral_formula = "F = 6 M N up to 4630 kg, 70000 (M/10000)^1.2 N up to 59500 kg, 10 M N over it";
    for (k, y) in [(0, 1.0), (1, -1.0)] {
        let (spots, places) = lateral(roles, main, k, y);
        let force = DVec3::Y * (-y * t.lateral);
        add(
            format!("sideways from the {}", side(y)),
            force,
            Some(t.energy),
            lateral_formula,
            spots,
            format!("inward, {places}"),
        );
    }
    let (spots, places) = if roles.roof_sides.is_empty() {
        (bar(roles, main), format!("along the top of {} (role `main hoop`)", shape.tubes[main.bar.0].name))
    } else {
        let each = |&t: &usize| along(roles, t, [0.0, shape.tubes[t].chain.length()]);
        let list = roles.roof_sides.iter().flat_map(each).collect();
        (list, format!("in equal shares along {} (role `roof side`)", names(shape, &roles.roof_sides)))
    };
    add("down".into(), DVec3::Z * -t.vertical, None, "F = 20 M N", spots, places);
    let formula = "F = 4.8 M N up to 4630 kg, 56000 (M/10000)^1.2 N up to 59500 kg, 8 M N over it";
    for (x, word) in [(1.0, "forward"), (-1.0, "rearward")] {
        let places = format!("along the top of {} (role `main hoop`)", shape.tubes[main.bar.0].name);
        add(format!("along, {word}"), DVec3::X * (x * t.longitudinal), None, formula, bar(roles, main), places);
    }
}
