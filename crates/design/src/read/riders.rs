//! `[mass.NAME]`, `[wheel.NAME]` and `[occupant.NAME]`.

use super::fields::{Fields, Reader, clip};
use crate::builtin::person_at;
use crate::keys;
use crate::model::{Figure, Mass, Occupant, Sex, Span, Spring, Wheel};

/// Lean of the torso when the file does not say, degrees: an upright bucket seat; common practice, no source.
pub const DEFAULT_BACK: f64 = 15.0;
/// Rise of the thigh, degrees; common practice, no source.
pub const DEFAULT_THIGH: f64 = 10.0;
/// Angle at the knee, degrees; common practice, no source.
pub const DEFAULT_KNEE: f64 = 120.0;
/// Helmet, m: the head circle of the driver template of Formula SAE Rules 2026, F.5.6.5.
pub const DEFAULT_HELMET: f64 = 0.3;

impl<'a> Reader<'a> {
    /// The masses of the file.
    pub fn masses(&mut self) -> Vec<Option<Mass>> {
        let items = self.names.masses.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::MASS_TABLE, format!("mass `{}`", clip(item.name)))?;
                let at = self.place(&f, "at");
                let kg = self.number(&f, "kg");
                let size = self.triple(&f, "size").unwrap_or_default();
                let mirror = self.flag(&f, "mirror").unwrap_or(false);
                let hard = self.flag(&f, "hard").unwrap_or(true);
                let note = self.text(&f, "note");
                let name = item.name.to_owned();
                Some(Mass { name, at: at?, kg: kg?, size, mirror, hard, note, span: item.span() })
            })
            .collect()
    }

    /// The wheels of the file.
    pub fn wheels(&mut self) -> Vec<Option<Wheel>> {
        let items = self.names.wheels.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::WHEEL, format!("wheel `{}`", clip(item.name)))?;
                self.wheel(&f, item.name, item.span())
            })
            .collect()
    }

    fn wheel(&mut self, f: &Fields<'a>, name: &str, span: Span) -> Option<Wheel> {
        let at = self.place(f, "at");
        let radius = self.number(f, "radius");
        let width = self.number(f, "width");
        let kg = self.number(f, "kg");
        let loaded = self.number(f, "loaded");
        let bump = self.number(f, "bump").unwrap_or(0.0);
        let droop = self.number(f, "droop").unwrap_or(0.0);
        let steer = self.number(f, "steer").unwrap_or(0.0);
        let tyre_rate = self.number(f, "tyre_rate");
        let mirror = self.flag(f, "mirror").unwrap_or(false);
        let spring = if f.has("spring") {
            let s = self.table(f, "spring", format!("the spring of {}", f.what))?;
            let (rate, free) = (self.number(&s, "rate"), self.number(&s, "free"));
            Some(Spring { rate: rate?, free: free? })
        } else {
            None
        };
        let radius = radius?;
        if loaded.is_some_and(|l| l > radius) {
            self.larger_loaded(f, radius);
            return None;
        }
        Some(Wheel {
            name: name.to_owned(),
            at: at?,
            radius,
            loaded: loaded.unwrap_or(radius),
            width: width?,
            kg: kg?,
            bump,
            droop,
            steer,
            spring,
            tyre_rate,
            mirror,
            span,
        })
    }

    /// The occupants of the file.
    pub fn occupants(&mut self) -> Vec<Option<Occupant>> {
        let items = self.names.occupants.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::OCCUPANT, format!("occupant `{}`", clip(item.name)))?;
                self.occupant(&f, item.name, item.span())
            })
            .collect()
    }

    fn occupant(&mut self, f: &Fields<'a>, name: &str, span: Span) -> Option<Occupant> {
        let hip = self.place(f, "hip");
        let sex = if self.choice(f, "sex") == Some("female") { Sex::Female } else { Sex::Male };
        let figure = if self.choice(f, "figure") == Some("template") { Figure::Template } else { Figure::Person };
        let (stature, kg) = (self.number(f, "stature"), self.number(f, "kg"));
        let usual = self.number(f, "percentile").map(|p| person_at(sex, p));
        let back = self.number(f, "back").unwrap_or(DEFAULT_BACK.to_radians());
        let thigh = self.number(f, "thigh").unwrap_or(DEFAULT_THIGH.to_radians());
        let knee = self.number(f, "knee").unwrap_or(DEFAULT_KNEE.to_radians());
        let helmet = self.number(f, "helmet").unwrap_or(DEFAULT_HELMET);
        let hands = if f.has("hands") { Some(self.place(f, "hands")?) } else { None };
        let mirror = self.flag(f, "mirror").unwrap_or(false);
        if f.has("stature") && f.has("percentile") {
            let message = format!("{} is given a stature in two ways", f.what);
            let help = "keep `stature` or `percentile`";
            self.error(f.span_of("percentile"), message, "with `stature` one too many", help);
            return None;
        }
        for key in ["stature", "kg"] {
            if !f.has(key) && !f.has("percentile") {
                let message = format!("{} has no `{key}`", f.what);
                let help = format!("add `{key}`, or `percentile` to take both from a survey");
                self.error(f.span.clone(), message, format!("`{key}` is missing"), help);
            }
        }
        Some(Occupant {
            name: name.to_owned(),
            hip: hip?,
            figure,
            sex,
            stature: stature.or(usual.map(|u| u.0))?,
            kg: kg.or(usual.map(|u| u.1))?,
            back,
            thigh,
            knee,
            helmet,
            hands,
            mirror,
            span,
        })
    }
}
