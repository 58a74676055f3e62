//! Student racing: the alternative frame rules.

use geometry::DVec3;
use shape::Shape;

use super::roles::{CENTRE, Group, Roles, at, names, side, spot};
use super::{Plan, Planned, Published};
use crate::build::Spot;
use crate::cases::Wanted;

const SET: &str = "student-frame";
const EDITION: &str = "alternative frame rules, 2010 to 2018; values, held places and signs from memory: hold them \
against your own edition";

/// Published values, N, and the largest displacement, m.
const HOOP: DVec3 = DVec3::new(6e3, 5e3, -9e3);
const SIDE: f64 = 7e3;
const BULKHEAD: f64 = 150e3;
const OFF_AXIS: [f64; 2] = [120e3, 10.5e3];
const MOST: f64 = 0.025;

const ROLE: &str =
    "give the tubes concerned a `role` with those words, as `role = \"main hoop\"`; its lower ends are its feet";

fn published(clause: &'static str, places: String) -> Published {
    Published {
        set: SET,
        clause,
        edition: EDITION,
        scales: "nothing about the car: the load is the same for every car".to_owned(),
        accepts: "no place moves more than 25 mm; no failure, taken here as no yielding".to_owned(),
        places,
        energy: None,
        elastic: None,
    }
}

fn wanted() -> Wanted {
    Wanted { most: Some(MOST), utilisation: 1.0, buckling: 1.0, collapse: 0.0 }
}

pub(super) fn plan(roles: &Roles<'_>, plan: &mut Plan) {
    let shape = roles.shape;
    let hoops = roles.need(&roles.main, "main hoop").and_then(|m| Ok((m, roles.need(&roles.front, "front hoop")?)));
    let (main, front) = match hoops {
        Ok(h) => h,
        Err(why) => {
            for what in ["main hoop", "front hoop", "side impact", "front bulkhead"] {
                plan.missing(&format!("{SET}: {what}"), why.clone(), ROLE);
            }
            return anchors(plan);
        }
    };
    let feet: Vec<Spot> = main.feet.iter().chain(&front.feet).cloned().collect();
    hoop(shape, plan, "main hoop", "Formula SAE Rules, AF4.1", main, &feet);
    hoop(shape, plan, "front hoop", "Formula SAE Rules, AF4.2", front, &feet);
    sides(roles, plan, [main, front], &feet);
    bulkhead(roles, plan, main);
    anchors(plan);
}

fn anchors(plan: &mut Plan) {
    plan.missing(
        &format!("{SET}: belt anchors"),
        "its values (AF4.6) are not known well enough to be built in".to_owned(),
        "give a load of your own with `forces` at the anchors, by your edition",
    );
}

/// Which way x and y point in the rule is not known for sure: all four.
fn hoop(shape: &Shape, plan: &mut Plan, what: &str, clause: &'static str, g: &Group, feet: &[Spot]) {
    let tube = &shape.tubes[g.top.tube].name;
    for (x, along) in [(1.0, "forward"), (-1.0, "rearward")] {
        for y in [1.0, -1.0] {
            let places = format!(
                "at the top of {tube} (role `{what}`), its highest place on the centre plane; held at the lower ends of both hoops"
            );
            let (at, held) = (plan.spot(&g.top), plan.spots(feet));
            plan.cases.push(Planned {
                name: format!("{SET}: {what}, down, {along}, {}", side(y)),
                published: published(clause, places),
                at: vec![(at, HOOP * DVec3::new(x, y, 1.0))],
                along: Vec::new(),
                held,
                fixed: false,
                wanted: wanted(),
            });
        }
    }
}

/// The middle of the longest stretch between joints, with its length.
fn longest(shape: &Shape, tube: usize) -> f64 {
    let mut stations = vec![0.0, shape.tubes[tube].chain.length()];
    for j in &shape.joints {
        stations.extend(j.members.iter().filter(|m| m.tube == tube).map(|m| m.station));
    }
    stations.sort_by(f64::total_cmp);
    let gap = |w: &&[f64]| w[1] - w[0];
    stations.windows(2).max_by(|a, b| gap(a).total_cmp(&gap(b))).map_or(0.0, |w| (w[0] + w[1]) / 2.0)
}

fn sides(roles: &Roles<'_>, plan: &mut Plan, hoops: [&Group; 2], feet: &[Spot]) {
    let shape = roles.shape;
    let x = |g: &Group| {
        let l = g.feet.iter().map(|f| at(shape, f).x);
        l.clone().fold(f64::INFINITY, f64::min)..=l.fold(f64::NEG_INFINITY, f64::max)
    };
    let (rear, ahead) = (*x(hoops[0]).start(), *x(hoops[1]).end());
    let mut found = false;
    for &t in &roles.sides {
        let place = spot(shape, t, longest(shape, t), "middle");
        let p = at(shape, &place);
        if p.y.abs() < CENTRE || p.x < rear || p.x > ahead {
            continue;
        }
        found = true;
        let places = format!(
            "inward at the middle of the longest stretch between joints of {} (role `side`), as of every side member between \
             the hoops, so that the worst is among them; held at the lower ends of both hoops",
            shape.tubes[t].name
        );
        let (at, held) = (plan.spot(&place), plan.spots(feet));
        plan.cases.push(Planned {
            name: format!("{SET}: side impact, {}", shape.tubes[t].name),
            published: published("Formula SAE Rules, AF4.3", places),
            at: vec![(at, DVec3::Y * -SIDE * p.y.signum())],
            along: Vec::new(),
            held,
            fixed: false,
            wanted: wanted(),
        });
    }
    if !found {
        let why = "no tube between the hoops has the role `side`".to_owned();
        plan.missing(&format!("{SET}: side impact"), why, "give the side impact members a `role` with the word `side`");
    }
}

fn bulkhead(roles: &Roles<'_>, plan: &mut Plan, main: &Group) {
    let shape = roles.shape;
    // Ends of its tubes; those at one joint are one place.
    let mut corners: Vec<Spot> = Vec::new();
    for &t in &roles.bulkhead {
        for s in [0.0, shape.tubes[t].chain.length()] {
            let c = spot(shape, t, s, "end");
            let reach = shape.tubes[t].outline.reach();
            if !corners.iter().any(|k| at(shape, k).distance(at(shape, &c)) < reach) {
                corners.push(c);
            }
        }
    }
    if corners.len() < 3 {
        let why = "no tubes with the role `bulkhead` have three corners".to_owned();
        let help = "give the tubes round the front bulkhead a `role` with the word `bulkhead`";
        return plan.missing(&format!("{SET}: front bulkhead"), why, help);
    }
    // Two feet alone don't hold it.
    if roles.harness.is_empty() {
        let why = "no tube has the role `harness`, at whose ends it is held".to_owned();
        let help =
            "give the tube that carries the shoulder belts, from one leg of the main hoop to the other, that `role`";
        return plan.missing(&format!("{SET}: front bulkhead"), why, help);
    }
    let mut held = main.feet.clone();
    for &t in &roles.harness {
        held.extend([0.0, shape.tubes[t].chain.length()].map(|s| spot(shape, t, s, "end")));
    }
    let also = format!(" and at the ends of {} (role `harness`)", names(shape, &roles.harness));
    let share = 1.0 / corners.len() as f64;
    let (spots, held) = (plan.spots(&corners), plan.spots(&held));
    let cases = [
        ("rearward", "Formula SAE Rules, AF4.4", DVec3::new(-BULKHEAD, 0.0, 0.0)),
        ("off axis, left", "Formula SAE Rules, AF4.5", DVec3::new(-OFF_AXIS[0], OFF_AXIS[1], 0.0)),
        ("off axis, right", "Formula SAE Rules, AF4.5", DVec3::new(-OFF_AXIS[0], -OFF_AXIS[1], 0.0)),
    ];
    for (what, clause, force) in cases {
        let places = format!(
            "in equal shares at the {} corners of {} (role `bulkhead`); held at the lower ends of the main hoop{also}",
            corners.len(),
            names(shape, &roles.bulkhead)
        );
        plan.cases.push(Planned {
            name: format!("{SET}: front bulkhead, {what}"),
            published: published(clause, places),
            at: spots.iter().map(|&s| (s, force * share)).collect(),
            along: Vec::new(),
            held: held.clone(),
            fixed: false,
            wanted: wanted(),
        });
    }
}
