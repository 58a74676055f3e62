//! `[mass.NAME]`, `[wheel.NAME]` and `[occupant.NAME]`.

use super::fields::{Reader, clip};
use crate::keys;
use crate::model::{Mass, Occupant, Wheel};

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
                let at = self.place(&f, "at");
                let radius = self.number(&f, "radius");
                let width = self.number(&f, "width");
                let kg = self.number(&f, "kg");
                let mirror = self.flag(&f, "mirror").unwrap_or(false);
                let name = item.name.to_owned();
                Some(Wheel { name, at: at?, radius: radius?, width: width?, kg: kg?, mirror, span: item.span() })
            })
            .collect()
    }

    /// The occupants of the file.
    pub fn occupants(&mut self) -> Vec<Option<Occupant>> {
        let items = self.names.occupants.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::OCCUPANT, format!("occupant `{}`", clip(item.name)))?;
                let hip = self.place(&f, "hip");
                let stature = self.number(&f, "stature");
                let kg = self.number(&f, "kg");
                let back = self.number(&f, "back").unwrap_or(DEFAULT_BACK.to_radians());
                let thigh = self.number(&f, "thigh").unwrap_or(DEFAULT_THIGH.to_radians());
                let knee = self.number(&f, "knee").unwrap_or(DEFAULT_KNEE.to_radians());
                let helmet = self.number(&f, "helmet").unwrap_or(DEFAULT_HELMET);
                let mirror = self.flag(&f, "mirror").unwrap_or(false);
                Some(Occupant {
                    name: item.name.to_owned(),
                    hip: hip?,
                    stature: stature?,
                    kg: kg?,
                    back,
                    thigh,
                    knee,
                    helmet,
                    mirror,
                    span: item.span(),
                })
            })
            .collect()
    }
}
