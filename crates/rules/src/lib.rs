//! Rule sets held against a frame: each rule is within, over or not checked, with what was measured, its limit and its clause.
//!
//! [`report`] takes a shape, a set ([`design::rules::RuleSet`]) and what other answers found, as plain [`Facts`]. Built-in sets
//! are files of the same kind: [`sets`]. Method and limits: `docs/methods/rules.md`.

mod ask;
pub mod roles;
pub mod sets;

use design::rules::{Known, Rule, RuleSet};
use geometry::DVec3;
use serde::Serialize;
use shape::Shape;
use shape::room::Room;

/// What other answers found, for rules that speak of it.
#[derive(Clone, Debug, Default)]
pub struct Facts<'a> {
    /// Room round people.
    pub room: Option<&'a Room>,
    /// Loads that were worked out.
    pub loads: Vec<LoadFact>,
    /// What loads go with, kg.
    pub mass: f64,
}

/// A load as strength worked it out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoadFact {
    /// Its name.
    pub name: String,
    /// How far the place that moves most moves, m.
    pub moved: Option<f64>,
    /// The largest stress as a part of the yield strength, and the tube that has it.
    pub worst: Option<(f64, String)>,
    /// The least factor to buckling.
    pub buckling: Option<f64>,
    /// The sum of its forces, N.
    pub force: Option<f64>,
    /// What was taken up when it was pushed past yielding, before a tube came to a person, J.
    pub energy: Option<f64>,
    /// Without that: what is taken up until the first tube yields, J.
    pub energy_at_least: Option<f64>,
}

/// How a rule is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// Its limit is held.
    Within,
    /// It could not be measured.
    NotChecked,
    /// Its limit is passed.
    Over,
}

/// A figure with its kind, SI.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", content = "value", rename_all = "kebab-case")]
pub enum Figure {
    /// m.
    Length(f64),
    /// rad.
    Angle(f64),
    /// m².
    Area(f64),
    /// m⁴.
    SecondMoment(f64),
    /// Pa.
    Stress(f64),
    /// N.
    Force(f64),
    /// J.
    Energy(f64),
    /// A multiple.
    Factor(f64),
    /// A count.
    Count(usize),
}

impl Figure {
    /// Its number, SI.
    pub fn number(self) -> f64 {
        match self {
            Figure::Length(v)
            | Figure::Angle(v)
            | Figure::Area(v)
            | Figure::SecondMoment(v)
            | Figure::Stress(v)
            | Figure::Force(v)
            | Figure::Energy(v)
            | Figure::Factor(v) => v,
            Figure::Count(n) => n as f64,
        }
    }
}

/// One thing that was held against a rule.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Held {
    /// Tubes, plates, people or loads that it is of.
    pub of: Vec<String>,
    /// What was measured: `wall`, `bend 2`.
    pub what: String,
    /// Whether it holds.
    pub state: State,
    /// What was measured; rounded where the rule says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured: Option<Figure>,
    /// The limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<Figure>,
    /// Whether the limit is the largest allowed, and not the least.
    pub largest: bool,
    /// Where.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<DVec3>,
    /// Why it was not checked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Limits are printed in other units than they are kept in: this part of one is rounding.
const ROUNDING: f64 = 1e-9;

impl Held {
    /// Held against a least.
    pub fn least(of: Vec<String>, what: impl Into<String>, measured: Figure, limit: Figure) -> Held {
        let (v, l) = (measured.number(), limit.number());
        let state = if v >= l - ROUNDING * l.abs() { State::Within } else { State::Over };
        Held {
            of,
            what: what.into(),
            state,
            measured: Some(measured),
            limit: Some(limit),
            largest: false,
            at: None,
            why: None,
        }
    }

    /// Held against a largest.
    pub fn most(of: Vec<String>, what: impl Into<String>, measured: Figure, limit: Figure) -> Held {
        let (v, l) = (measured.number(), limit.number());
        let state = if v <= l + ROUNDING * l.abs() { State::Within } else { State::Over };
        Held {
            of,
            what: what.into(),
            state,
            measured: Some(measured),
            limit: Some(limit),
            largest: true,
            at: None,
            why: None,
        }
    }

    /// Not measured, and why.
    pub fn not_checked(of: Vec<String>, what: impl Into<String>, why: impl Into<String>) -> Held {
        Held {
            of,
            what: what.into(),
            state: State::NotChecked,
            measured: None,
            limit: None,
            largest: false,
            at: None,
            why: Some(why.into()),
        }
    }

    fn at(mut self, at: DVec3) -> Held {
        self.at = Some(at);
        self
    }
}

/// What comes of a rule.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// Its name in the set.
    pub rule: String,
    /// Its clause.
    pub clause: String,
    /// How its figures are known.
    pub known: Known,
    /// What it wants, in words.
    pub says: String,
    /// Over if anything is, else not checked if anything is.
    pub state: State,
    /// Each thing that was held against it.
    pub held: Vec<Held>,
}

/// A set held against a frame.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// Name of the set.
    pub set: String,
    /// Which edition.
    pub edition: String,
    /// Who decides.
    pub whose: String,
    /// What else must be known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Every rule that is meant for such a machine, in the order of the set.
    pub answers: Vec<Answer>,
}

impl Report {
    /// What is always said of it.
    pub fn caution(&self) -> String {
        format!(
            "Figures of {}, {}. The current text of {} and its inspector prevail; what is from memory is a hint and no more.",
            self.set, self.edition, self.whose
        )
    }
}

/// Holds a set against a frame.
pub fn report(shape: &Shape, set: &RuleSet, facts: &Facts<'_>) -> Report {
    let who = roles::Who::find(shape, set);
    let answer = |rule: &Rule| {
        let held = ask::held(shape, &who, rule, facts)?;
        let state = held.iter().map(|h| h.state).max().unwrap_or(State::NotChecked);
        Some(Answer {
            rule: rule.name.clone(),
            clause: rule.clause.clone(),
            known: rule.known,
            says: rule.says.clone().unwrap_or_else(|| ask::words(rule, &who)),
            state,
            held,
        })
    };
    Report {
        set: set.name.clone(),
        edition: set.edition.clone(),
        whose: set.whose.clone(),
        note: set.note.clone(),
        answers: set.rules.iter().filter_map(answer).collect(),
    }
}
