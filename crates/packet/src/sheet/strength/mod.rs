//! Strength: how the frame moves under each load and what that uses, what would help, what is missed least.

mod advice;
mod cases;
mod chart;
mod collapse;
mod joints;
mod ledger;
mod modes;
pub mod motion;
mod rigs;
mod summary;
mod thick;

use review::{Review, Text};

use super::labels;
use super::layout::{BODY, Sheets};
use super::page::Ink;

/// Title of these sheets.
pub const TITLE: &str = "strength";

/// What every sheet of this kind must say.
pub const CAUTION: &str = "An ideal frame, no test: left out are welds as made, metal weakened by heat, fatigue, dynamic effects. \
Local rules and a licensed engineer decide.";

/// The sheets.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    let from = s.pages.len();
    let a = &r.strength;
    s.start(TITLE);
    s.heading("Its loads: what moves, what is used");
    if a.cases.is_empty() && a.without.is_empty() {
        let text = "Nothing is loaded: no [load.NAME], no published set and no g at rest is given. Whether the frame is strong enough \
                    is not checked.";
        s.paragraph(text, BODY, Ink::Black);
    } else {
        summary::table(s, r, t);
    }
    rigs::stiffness(s, r, t);
    rigs::vibration(s, a);
    modes::frequencies(s, r);
    cases::pages(s, r, t);
    modes::buckling(s, r);
    joints::tables(s, a, t);
    for c in &a.cases {
        if let Some(x) = &c.crushed {
            collapse::page(s, r, t, c, x);
        }
    }
    if let Some(v) = &a.advice {
        advice::pages(s, r, t, v);
        ledger::page(s, t, v);
    }
    labels::caution(s, from, CAUTION);
}

/// A part as a percentage.
fn percent(x: f64) -> String {
    format!("{:.1} %", 100.0 * x)
}

/// A factor on a load: three figures, as more would say nothing.
fn factor(x: f64) -> String {
    match x.abs() {
        a if a >= 1e4 => "over 10000".to_owned(),
        a if a >= 100.0 => format!("{x:.0}"),
        a if a >= 10.0 => format!("{x:.1}"),
        _ => format!("{x:.2}"),
    }
}
