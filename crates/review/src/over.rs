//! Going over: what is hard of a design, in which attitudes it rests, and what of people's room is left there.

mod hard;
mod room;
mod under;
mod ways;
mod words;

use std::sync::atomic::AtomicBool;

use geometry::DVec3;
use rollover::{Rollover, RolloverError, Settings};
use shape::mass::MassProperties;
use shape::openings::Passage;
use shape::{Finding, Level, Shape, Value};
use std::cell::OnceCell;

pub use hard::bodies;
pub use room::{PartRoom, PersonRoom, nearest};
pub use under::edge_over_nose;
pub(crate) use under::{edge_over, findings as edge_findings};
pub use ways::{Fits, WayOut};
pub use words::attitude_words;

/// What happens when it goes over.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Over {
    /// With what is marked as hard alone.
    pub hard: Case,
    /// With what gives way too, as long as it holds; `None` if everything is hard.
    pub whole: Option<Case>,
    /// How far hard things were taken to sink into soft ground, m.
    pub soft: f64,
    /// Everything as it goes over, the wheels hanging at droop: what heights and energies are from.
    pub hung: MassProperties,
    /// Tumbles, if they were asked for: see [`tumble_it`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tumbled: Option<Tumbled>,
}

/// Tumbles, and what their parts are.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Tumbled {
    /// Counts; attitudes in the order of [`Over::hard`].
    pub tumbles: tumble::Tumbles,
    /// Whose each part is, and which, in the order of the counts by parts.
    pub parts: Vec<(String, &'static str)>,
}

impl Tumbled {
    /// A count's share of all tumbles, and its standard error.
    pub fn share(&self, count: u32) -> [f64; 2] {
        let n = f64::from(self.tumbles.runs.max(1));
        let p = f64::from(count) / n;
        [p, (p * (1.0 - p) / n).sqrt()]
    }

    /// The parts that were touched, most often first: whose, which and how often.
    pub fn touched(&self, soft: bool) -> Vec<(&str, &'static str, u32)> {
        let counts = if soft { &self.tumbles.parts_soft } else { &self.tumbles.parts };
        let mut list: Vec<_> = self
            .parts
            .iter()
            .zip(counts)
            .filter(|(_, n)| **n > 0)
            .map(|((who, part), n)| (who.as_str(), *part, *n))
            .collect();
        list.sort_by_key(|l| std::cmp::Reverse(l.2));
        list
    }
}

/// One set of hard bodies.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Case {
    /// Rest attitudes and paths; `None` where there are none, with the reason in the findings.
    pub rollover: Option<Rollover>,
    /// Why there are none.
    pub refused: Option<String>,
    /// In each attitude: its name in words, and what is left of each person's room.
    pub rooms: Vec<AttitudeRoom>,
}

/// What is left in one attitude.
#[derive(Clone, Debug, serde::Serialize)]
pub struct AttitudeRoom {
    /// The attitude in words: `on its roof, tail down`. Of several that these say alike, each with what it alone rests on.
    pub words: String,
    /// Every person's.
    pub people: Vec<PersonRoom>,
    /// Ways out: flat ones that a person passes first, then the widest.
    pub ways: Vec<WayOut>,
}

/// Works it out.
pub fn over(shape: &Shape, laden: &MassProperties) -> (Over, Vec<Finding>) {
    let r = &shape.design.rollover;
    let laden = hard::hung(shape, laden);
    let settings = Settings { marginal: r.marginal, ..Settings::new(laden.centre, laden.mass) };
    let clear = vec![OnceCell::new(); shape.openings.len()];
    let hard = case(shape, &settings, &clear, false);
    let whole = hard::gives_way(shape).then(|| case(shape, &settings, &clear, true));
    let mut findings = Vec::new();
    findings_of(shape, &hard.0, hard.1.as_ref(), &mut findings);
    let over = Over { hard: hard.0, whole: whole.map(|w| w.0), soft: r.soft, hung: laden, tumbled: None };
    (over, findings)
}

fn case(shape: &Shape, settings: &Settings, clear: &[OnceCell<Passage>], whole: bool) -> (Case, Option<RolloverError>) {
    match rollover::rollover(&bodies(shape, whole), settings) {
        Ok(answer) => {
            let words = words::told_apart(&answer.attitudes, &|a| words_of(shape, a));
            let rooms = answer
                .attitudes
                .iter()
                .zip(words)
                .map(|(a, words)| AttitudeRoom {
                    words,
                    people: room::people(shape, a, settings.centre, shape.design.rollover.soft),
                    ways: ways::ways(shape, a, settings.centre, clear),
                })
                .collect();
            (Case { rollover: Some(answer), refused: None, rooms }, None)
        }
        Err(e) => (Case { rollover: None, refused: Some(e.to_string()), rooms: Vec::new() }, Some(e)),
    }
}

/// An attitude in words; upright, where no wheel touches.
fn words_of(shape: &Shape, a: &rollover::Attitude) -> String {
    let wheel = |name: &str| shape.design.wheels.iter().any(|w| w.name == name.trim_end_matches('~'));
    let words = attitude_words(a.normal);
    if a.contacts.iter().any(|c| wheel(&c.body)) { words } else { words.replace("on its wheels", "upright") }
}

fn findings_of(shape: &Shape, case: &Case, refused: Option<&RolloverError>, out: &mut Vec<Finding>) {
    let new = |level, what: String| Finding::new(level, "rollover", what);
    match refused {
        Some(RolloverError::CentreOutside { by, beyond }) => out.push(
            new(Level::NotChecked, "the centre of gravity lies outside of everything hard, so it rests nowhere".into())
                .tubes(beyond.iter().cloned())
                .measured(Value::Length(*by))
                .help("check the masses, or mark what is missing as hard"),
        ),
        Some(RolloverError::Hull(_)) => out.push(
            new(Level::NotChecked, "everything hard lies in one plane: nothing can go over".into())
                .help("add tubes, wheels or masses with extents"),
        ),
        Some(e) => out.push(
            new(Level::NotChecked, format!("rollover: {e}")).help("add wheels, and masses with extents or tubes"),
        ),
        None => {}
    }
    if shape.design.occupants.is_empty() && refused.is_none() {
        out.push(
            new(Level::NotChecked, "nobody sits in it: their room was not checked in any attitude".into())
                .help("add [occupant.NAME]"),
        );
    }
    for (k, attitude) in case.rooms.iter().enumerate() {
        for person in &attitude.people {
            let touched = |soft| person.nearest(soft).map(|p| (p.part, p.over(soft))).filter(|w| w.1 <= 0.0);
            let rests_on = || {
                let a = case.rollover.as_ref().map(|r| &r.attitudes[k]);
                a.map_or(Vec::new(), |a| a.contacts.iter().map(|c| c.body.clone()).collect::<Vec<_>>())
            };
            let (level, ground, (part, by), limit) = match (touched(false), touched(true)) {
                (Some(w), _) => (Level::Mend, "hard", w, Value::Length(0.0)),
                (None, Some(w)) => (Level::Look, "soft", w, Value::Length(0.0)),
                _ => continue,
            };
            let what = format!("{} the {part} of {} touches {ground} ground", attitude.words, person.name);
            let source = if ground == "hard" { "above the ground" } else { "above ground that gives (rollover.soft)" };
            out.push(
                new(level, what)
                    .tubes(rests_on())
                    .measured(Value::Length(by))
                    .limit(limit, source)
                    .help("raise or move the tubes that it rests on, or lower the seat"),
            );
        }
    }
    let Some(answer) = &case.rollover else { return };
    ways_out(shape, answer, &case.rooms, out);
    for (a, room) in answer.attitudes.iter().zip(&case.rooms).filter(|(a, _)| a.marginal && a.share > 0.01) {
        if a.shallow {
            let what = format!("it hardly rests {}: the hollow that it lies in is this deep at most", room.words);
            out.push(
                new(Level::Note, what)
                    .measured(Value::Length(rollover::SHALLOW))
                    .help("count on what it would roll on to"),
            );
        } else if let Some(margin) = a.margin {
            let what = format!("it hardly rests {}: a little more or less mass somewhere decides", room.words);
            let limit = Value::Length(shape.design.rollover.marginal);
            out.push(new(Level::Note, what).measured(Value::Length(margin)).limit(limit, "rollover.marginal"));
        }
    }
}

/// The attitudes in which the car lies on anything but its wheels, as strength takes them. Those of hard things alone.
pub fn lying(shape: &Shape, over: &Over) -> Vec<strength::Lying> {
    let wheel = |name: &str| shape.design.wheels.iter().any(|w| w.name == name.trim_end_matches('~'));
    let Some(answer) = &over.hard.rollover else { return Vec::new() };
    answer
        .attitudes
        .iter()
        .zip(&over.hard.rooms)
        .filter(|(a, _)| a.share >= RARE && !a.contacts.iter().all(|c| wheel(&c.body)))
        .map(|(a, room)| strength::Lying {
            words: room.words.clone(),
            down: a.normal,
            touches: a
                .contacts
                .iter()
                .flat_map(|c| c.at.iter().map(|&at| strength::Touch { body: c.body.clone(), at }))
                .collect(),
        })
        .collect()
}

/// Attitudes that are reached less often are not asked for a way out, nor for strength: they hardly hold.
const RARE: f64 = 0.002;

fn ways_out(shape: &Shape, answer: &Rollover, rooms: &[AttitudeRoom], out: &mut Vec<Finding>) {
    let new = |level, what: String| Finding::new(level, "rollover", what);
    if shape.openings.is_empty() {
        if !shape.design.occupants.is_empty() {
            let what = "no way out is given: whether anybody gets out was not checked in any attitude";
            out.push(new(Level::NotChecked, what.into()).help("add [opening.NAME] with the points round it"));
        }
        return;
    }
    let person = Value::Length(shape.design.room.opening[0]);
    for (a, room) in answer.attitudes.iter().zip(rooms).filter(|(a, _)| a.share >= RARE) {
        let Some(best) = room.ways.first() else { continue };
        let tubes = a.contacts.iter().map(|c| c.body.clone());
        if !best.passes {
            let what = format!("{} nobody gets out: the widest way is through {}", room.words, best.opening);
            out.push(
                new(Level::Mend, what)
                    .tubes(tubes)
                    .measured(Value::Length(best.ellipse[0]))
                    .limit(person, "limits.opening")
                    .help("open another way out, or let it rest higher"),
            );
        } else if room.ways.iter().all(|w| !w.passes || w.off > shape::openings::FLAT) {
            let what = format!(
                "{} the only way out is through {}, judged in a plane that it does not lie in",
                room.words, best.opening
            );
            let f = new(Level::Look, what).tubes(tubes).measured(Value::Length(best.off));
            out.push(
                f.limit(Value::Length(shape::openings::FLAT), "docs/methods/room.md")
                    .help("divide the opening into flat ones, or choose corners that lie in one plane"),
            );
        } else if room.ways.iter().all(|w| !w.passes || w.closure == design::Closure::Breaks) {
            let what = format!("{} the only way out is through a panel that must break: {}", room.words, best.opening);
            out.push(new(Level::Look, what).tubes(tubes).help("give a way out that opens from inside"));
        }
    }
}

/// The body that tumbles: all that is hard, and everybody's room.
pub fn tumbling(shape: &Shape, laden: &MassProperties) -> (tumble::Body, Vec<(String, &'static str)>) {
    let (room, parts) = room::balls(shape);
    let laden = hard::hung(shape, laden);
    let body = tumble::Body {
        hull: hard::points(shape),
        centre: laden.centre,
        mass: laden.mass,
        inertia: laden.inertia,
        up: DVec3::Z,
        room,
    };
    (body, parts)
}

/// Throws a design so many times; `told` is called now and then with how many are done, `stop` ends it early.
///
/// # Errors
/// If nothing could tumble, or it was stopped.
pub fn tumble_it(
    r: &crate::Review,
    runs: u32,
    told: &(dyn Fn(u32) + Sync),
    stop: &AtomicBool,
) -> Result<Tumbled, tumble::Refused> {
    let (body, parts) = tumbling(&r.shape, &r.laden);
    // The ground's normals of the rests, up, in the car's axes.
    let rests: Vec<DVec3> = r.over.hard.rollover.iter().flat_map(|o| &o.attitudes).map(|a| -a.normal).collect();
    let settings = tumble_settings(&r.shape, runs);
    tumble::tumble(&body, &rests, &settings, told, stop).map(|tumbles| Tumbled { tumbles, parts })
}

/// What is drawn at random for a design's tumbles.
pub fn tumble_settings(shape: &Shape, runs: u32) -> tumble::Settings {
    let r = &shape.design.rollover;
    tumble::Settings {
        runs,
        seed: u64::from(r.seed),
        ranges: tumble::Ranges {
            speed: r.speed,
            spin: r.spin,
            friction: r.friction,
            slope: [0.0, r.slope],
            bounce: BOUNCE,
        },
        soft: r.soft,
    }
}

/// Bounce of steel and tyres on ground: common practice, no source.
const BOUNCE: [f64; 2] = [0.0, 0.3];
