//! How the car stands: the ground under each stance, what each wheel carries and when it tips, what it clears, driving over
//! obstacles, the room that wheels sweep, and named measures. `docs/methods/stance.md` has the methods.

mod clearance;
mod drive;
mod findings;
mod flat;
mod ground;
mod loads;
mod measure;
mod ramp;
mod road;
mod room;
mod settle;
mod side;
mod skins;
mod solids;
mod stands;
mod tree;
mod wheels;

use geometry::{DVec2, DVec3};
use serde::Serialize;
use shape::bodies::BodyKind;
use shape::mass::{self, MassProperties};
use shape::{Finding, Shape};

pub use clearance::{Low, LowPart};
pub use drive::{Crossing, Meeting, Step, Way, way};
pub use ground::Ground;
pub use loads::{Axle, Edge, Loads, Rule, Side};
pub use measure::Taken;
pub use ramp::Governed;
pub use room::Room;
pub use solids::Kind;
pub use stands::Foot;
pub use wheels::{Hub, Standing};

use side::{Layout, Tyre, View};

/// Standard gravity, m/s² (3rd General Conference on Weights and Measures, 1901).
pub const GRAVITY: f64 = 9.806_65;

/// How the design stands.
#[derive(Clone, Debug, Serialize)]
pub struct Answer {
    /// Every stance, in the file's order.
    pub stances: Vec<Stood>,
    /// The room of every wheel as drawn.
    pub rooms: Vec<Room>,
    /// Every measure; one that involves the ground once for each stance.
    pub measures: Vec<Taken>,
    /// What was found, worst first.
    #[serde(skip)]
    pub findings: Vec<Finding>,
}

/// A stance.
#[derive(Clone, Debug, Serialize)]
pub struct Stood {
    /// Its name.
    pub name: String,
    /// Its note.
    pub note: Option<String>,
    /// The ground; `None` if nothing holds the car.
    pub ground: Option<Ground>,
    /// Everything on board, in the frame's axes.
    pub mass: MassProperties,
    /// Centre of gravity in the ground's axes: forward, left, height, m.
    pub centre: Option<DVec3>,
    /// How far the frame's x points up from the ground, rad.
    pub nose_up: Option<f64>,
    /// How far the frame's y points up from the ground, rad.
    pub left_up: Option<f64>,
    /// Its wheels; none if it is on stands.
    pub wheels: Vec<Standing>,
    /// Its stands.
    pub stands: Vec<Foot>,
    /// Edges that it tips over on its stands.
    pub stand_edges: Vec<Edge>,
    /// Axles, loads and edges, if it stands on wheels.
    pub loads: Option<Loads>,
    /// Lowest places of tubes, plates, masses and skins, lowest first.
    pub lowest: Vec<Low>,
    /// Every part of everybody on board, lowest first. No part of the running clearance.
    pub people: Vec<LowPart>,
    /// Approach angle; `None` if nothing is touched up to a right angle.
    pub approach: Option<Governed>,
    /// Departure angle.
    pub departure: Option<Governed>,
    /// Ramp breakover angle.
    pub breakover: Option<Governed>,
    /// Whether the ramp angles were taken: on two axles or more.
    pub angles_taken: bool,
    /// Drives over every obstacle.
    pub crossings: Vec<Crossing>,
}

/// Works out how a design stands.
pub fn stand(shape: &Shape) -> Answer {
    let design = &shape.design;
    let frame = mass::frame(shape);
    let layout = Layout::new(shape);
    let mut findings = Vec::new();
    let stances: Vec<Stood> = design.stances.iter().map(|s| one(shape, s, &frame, &layout, &mut findings)).collect();
    let rooms = room::rooms(shape);
    let mut measures = Vec::new();
    for m in &design.measures {
        if measure::needs_ground(m) {
            measures.extend(stances.iter().map(|s| measure::take(shape, m, Some((&s.name, s.ground.as_ref())))));
        } else {
            measures.push(measure::take(shape, m, None));
        }
    }
    findings::rooms(&rooms, &mut findings);
    findings::measures(shape, &measures, &mut findings);
    findings::skins(shape, &mut findings);
    findings.sort_by_key(|f| f.level);
    Answer { stances, rooms, measures, findings }
}

/// The share of each body that is on board; `None` if it is not there at all. An empty tank is there.
fn shares(shape: &Shape, stance: &design::Stance) -> Vec<Option<f64>> {
    let design = &shape.design;
    let mut out = vec![Some(1.0); shape.bodies.len()];
    for (share, b) in out.iter_mut().zip(&shape.bodies) {
        let named = |r: &design::RiderRef| {
            let kind = match r.id {
                design::RiderId::Mass(_) => BodyKind::Mass,
                design::RiderId::Occupant(_) => BodyKind::Occupant,
            };
            b.kind == kind && b.name == design.rider_name(r)
        };
        let part = stance
            .part
            .iter()
            .find(|(id, _)| b.kind == BodyKind::Mass && b.name.trim_end_matches('~') == design.masses[id.0].name);
        if let Some((_, p)) = part {
            *share = Some(*p);
        }
        let off = stance.wheels_off && b.kind == BodyKind::Wheel;
        if off || stance.without.iter().any(named) {
            *share = None;
        }
    }
    out
}

/// Which things count: those on board.
fn counted(things: &[solids::Thing], share: &[Option<f64>]) -> Vec<bool> {
    things.iter().map(|t| t.body.is_none_or(|b| share[b].is_some())).collect()
}

fn one(
    shape: &Shape,
    stance: &design::Stance,
    frame: &MassProperties,
    layout: &Layout,
    findings: &mut Vec<Finding>,
) -> Stood {
    let share = shares(shape, stance);
    let counts = counted(&layout.things, &share);
    let aboard: Vec<bool> = share.iter().map(Option::is_some).collect();
    let share: Vec<f64> = share.into_iter().map(|s| s.unwrap_or(0.0)).collect();
    let mut out = Stood {
        name: stance.name.clone(),
        note: stance.note.clone(),
        ground: None,
        mass: mass::loaded(frame, shape, &settle::riders(&share, &[])),
        centre: None,
        nose_up: None,
        left_up: None,
        wheels: Vec::new(),
        stands: Vec::new(),
        stand_edges: Vec::new(),
        loads: None,
        lowest: Vec::new(),
        people: Vec::new(),
        approach: None,
        departure: None,
        breakover: None,
        angles_taken: false,
        crossings: Vec::new(),
    };
    let told = findings.len();
    if stance.stands.is_empty() {
        on_wheels(shape, stance, frame, &share, &mut out, findings);
    } else {
        match stands::ground(shape, stance) {
            Ok((ground, feet)) => {
                out.ground = Some(ground);
                out.stands = feet;
            }
            Err(why) => findings::no_stands(&out, why, findings),
        }
    }
    if let Some(ground) = out.ground {
        out.centre = Some(ground.place(out.mass.centre));
        out.nose_up = Some(ground.normal.x.asin());
        out.left_up = Some(ground.normal.y.asin());
        let skins = skins::things(shape, &out.wheels, &ground);
        let on_board = layout.things.iter().zip(&counts).filter(|(_, c)| **c).map(|(t, _)| t);
        out.lowest = clearance::lowest(shape, on_board.chain(&skins), &ground);
        out.people = clearance::people(shape, |b| aboard[b], &ground);
        if stance.stands.is_empty() {
            angles(shape, &View::new(layout, &counts, &skins, ground), &mut out);
        } else {
            let names: Vec<&str> = out.stands.iter().map(|f| f.tube.as_str()).collect();
            let places: Vec<DVec2> = out.stands.iter().map(|f| ground.place(f.at).truncate()).collect();
            let all: Vec<usize> = (0..places.len()).collect();
            out.stand_edges = loads::edges(&names, &places, &all, ground.place(out.mass.centre));
        }
        findings::stance(shape, &out, findings);
    }
    for f in &mut findings[told..] {
        f.span = (!stance.span.is_empty()).then(|| stance.span.clone());
    }
    out
}

fn on_wheels(
    shape: &Shape,
    stance: &design::Stance,
    frame: &MassProperties,
    share: &[f64],
    out: &mut Stood,
    findings: &mut Vec<Finding>,
) {
    let mut wheels = wheels::of(shape, stance);
    let settled = settle::settle(shape, stance, frame, share, &mut wheels);
    out.mass = mass::loaded(frame, shape, &settle::riders(share, &wheels));
    out.wheels = wheels;
    match settled {
        None => findings::no_ground(out, findings),
        Some(s) => {
            let solved = s.solved;
            out.ground = Some(s.ground);
            out.loads = Some(loads::loads(&mut out.wheels, &s.ground, &out.mass, solved));
            findings::settling(shape, stance, out, s.restless, findings);
        }
    }
}

/// The mean tyres of the first and the last axle; `None` on one axle, or where a tyre is squashed flat.
fn tyres(stood: &Stood, ground: Ground) -> Option<(Tyre, Tyre)> {
    let loads = stood.loads.as_ref()?;
    let (first, last) = (loads.axles.first()?, loads.axles.last()?);
    if loads.axles.len() < 2 {
        return None;
    }
    let tyre = |a: &Axle| {
        let n = a.members.len() as f64;
        let mean = |f: &dyn Fn(&Standing) -> f64| a.members.iter().map(|&i| f(&stood.wheels[i])).sum::<f64>() / n;
        let loaded = mean(&|w| w.loaded);
        // On the ground, though its two wheels may not quite be.
        Tyre { hub: DVec2::new(mean(&|w| ground.forward.dot(w.hub)), loaded), loaded }
    };
    let (front, rear) = (tyre(first), tyre(last));
    (front.loaded > 0.0 && rear.loaded > 0.0).then_some((front, rear))
}

/// Ramp angles and obstacles, on two axles or more.
fn angles(shape: &Shape, view: &View, out: &mut Stood) {
    let Some((front, rear)) = tyres(out, view.ground) else { return };
    out.angles_taken = true;
    out.approach = ramp::ramp(view, &front, 1.0);
    out.departure = ramp::ramp(view, &rear, -1.0);
    out.breakover = ramp::breakover(view, &front, &rear);
    out.crossings = shape.design.obstacles.iter().map(|o| drive::over(view, &front, &rear, o)).collect();
}
