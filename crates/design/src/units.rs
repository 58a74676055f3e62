//! Quantities as people write them, and the one place where they become SI.
//!
//! A decimal is converted as a decimal: `45.3` in a file in mm is the number 0.0453 rounded once, and not 45.3 rounded
//! and then divided. A fraction of an inch is a ratio of whole numbers until the very end. So what [`length_text`]
//! writes is read back as the same f64, and `1 3/4` is the same length as `1.75`.

mod decimal;
mod read;
#[cfg(test)]
mod tests;
mod write;

use crate::model::Units;

pub use decimal::Decimal;
pub use read::{Written, parse_text, unit_list};
pub use write::{FINEST_FRACTION, NumberText, decimal_text, fraction_text, length_text, show};

/// Kinds of quantity in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// The file's units, or text with a unit; SI: m.
    Length,
    /// Degrees; SI: rad.
    Angle,
    /// kg, or text with a unit; SI: kg.
    Mass,
    /// MPa, or text with a unit; SI: Pa.
    Stress,
    /// kg/m³.
    Density,
    /// Per cent; SI: a fraction.
    Percent,
    /// Stiffness of a spring, N/mm, or text with a unit; SI: N/m.
    Rate,
    /// N in a file in mm, lbf in one in inches, or text with a unit; SI: N.
    Force,
    /// N m in a file in mm, lbf ft in one in inches, or text with a unit; SI: N m.
    Moment,
    /// A plain number.
    Plain,
}

impl Quantity {
    /// The word for it in messages, with its article.
    pub fn word(self) -> &'static str {
        match self {
            Quantity::Length => "a length",
            Quantity::Angle => "an angle",
            Quantity::Mass => "a mass",
            Quantity::Stress => "a stress",
            Quantity::Density => "a density",
            Quantity::Percent => "a percentage",
            Quantity::Rate => "a spring rate",
            Quantity::Force => "a force",
            Quantity::Moment => "a moment",
            Quantity::Plain => "a number",
        }
    }

    /// Units that text may name; see [`Quantity::plain_unit`] for that of a plain number.
    pub fn units(self) -> &'static [Unit] {
        match self {
            Quantity::Length => &[Unit::Mm, Unit::Cm, Unit::M, Unit::In, Unit::Ft],
            Quantity::Angle => &[Unit::Degree],
            Quantity::Mass => &[Unit::Kg, Unit::G, Unit::Lb],
            Quantity::Stress => &[Unit::MPa, Unit::GPa, Unit::Ksi, Unit::Psi],
            Quantity::Density => &[Unit::KgPerM3],
            Quantity::Percent => &[Unit::Percent],
            Quantity::Rate => &[Unit::NPerMm, Unit::LbPerIn],
            Quantity::Force => &[Unit::N, Unit::KN, Unit::Lbf],
            Quantity::Moment => &[Unit::NM, Unit::KNM, Unit::LbfFt, Unit::LbfIn],
            Quantity::Plain => &[Unit::One],
        }
    }

    /// Whether text may stand for it, or only a number.
    pub fn takes_text(self) -> bool {
        match self {
            Quantity::Length | Quantity::Mass | Quantity::Stress | Quantity::Rate => true,
            Quantity::Force | Quantity::Moment => true,
            Quantity::Angle | Quantity::Density | Quantity::Percent | Quantity::Plain => false,
        }
    }

    /// Unit of a plain number of this kind in a file in `units`.
    pub fn plain_unit(self, units: Units) -> Unit {
        match (self, units) {
            (Quantity::Length, Units::Mm) => Unit::Mm,
            (Quantity::Length, Units::In) => Unit::In,
            (Quantity::Force, Units::In) => Unit::Lbf,
            (Quantity::Moment, Units::In) => Unit::LbfFt,
            _ => self.units()[0],
        }
    }
}

/// Units in which a quantity may be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Millimetre.
    Mm,
    /// Centimetre.
    Cm,
    /// Metre.
    M,
    /// Inch.
    In,
    /// Foot.
    Ft,
    /// Kilogram.
    Kg,
    /// Gram.
    G,
    /// Pound.
    Lb,
    /// N/mm².
    MPa,
    /// kN/mm².
    GPa,
    /// 1000 pounds-force per square inch.
    Ksi,
    /// Pound-force per square inch.
    Psi,
    /// Degree of angle.
    Degree,
    /// kg/m³.
    KgPerM3,
    /// One in a hundred.
    Percent,
    /// Newton per millimetre.
    NPerMm,
    /// Pound-force per inch.
    LbPerIn,
    /// Newton.
    N,
    /// Kilonewton.
    KN,
    /// Pound-force.
    Lbf,
    /// Newton metre.
    NM,
    /// Kilonewton metre.
    KNM,
    /// Pound-force foot.
    LbfFt,
    /// Pound-force inch.
    LbfIn,
    /// No unit.
    One,
}

/// Pounds-force per square inch in Pa: 0.453 592 37 kg × 9.806 65 m/s² over (0.0254 m)², all exact by definition.
const PSI: f64 = 44_482_216_152_605.0 / 6_451_600_000.0;

enum Factor {
    /// A whole number times a power of ten: conversion is exact up to one rounding.
    Decimal(u64, i32),
    /// Anything else.
    Float(f64),
}

impl Unit {
    /// How it is written.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Cm => "cm",
            Unit::M => "m",
            Unit::In => "in",
            Unit::Ft => "ft",
            Unit::Kg => "kg",
            Unit::G => "g",
            Unit::Lb => "lb",
            Unit::MPa => "MPa",
            Unit::GPa => "GPa",
            Unit::Ksi => "ksi",
            Unit::Psi => "psi",
            Unit::Degree => "°",
            Unit::KgPerM3 => "kg/m³",
            Unit::Percent => "%",
            Unit::NPerMm => "N/mm",
            Unit::LbPerIn => "lb/in",
            Unit::N => "N",
            Unit::KN => "kN",
            Unit::Lbf => "lbf",
            Unit::NM => "N m",
            Unit::KNM => "kN m",
            Unit::LbfFt => "lbf ft",
            Unit::LbfIn => "lbf in",
            Unit::One => "",
        }
    }

    fn factor(self) -> Factor {
        match self {
            Unit::Mm | Unit::G => Factor::Decimal(1, -3),
            Unit::Cm | Unit::Percent => Factor::Decimal(1, -2),
            Unit::M | Unit::Kg | Unit::KgPerM3 | Unit::N | Unit::NM | Unit::One => Factor::Decimal(1, 0),
            Unit::In => Factor::Decimal(254, -4),
            Unit::Ft => Factor::Decimal(3048, -4),
            Unit::Lb => Factor::Decimal(45_359_237, -8),
            Unit::NPerMm | Unit::KN | Unit::KNM => Factor::Decimal(1, 3),
            // 0.453 592 37 kg × 9.806 65 m/s², both exact by definition; times 0.3048 m; times 0.0254 m.
            Unit::Lbf => Factor::Decimal(44_482_216_152_605, -13),
            Unit::LbfFt => Factor::Decimal(13_558_179_483_314_004, -16),
            Unit::LbfIn => Factor::Decimal(1_129_848_290_276_167, -16),
            // 0.453 592 37 kg × 9.806 65 m/s² over 0.0254 m, all exact by definition.
            Unit::LbPerIn => Factor::Float(44_482_216_152_605.0 / 254_000_000_000.0),
            Unit::MPa => Factor::Decimal(1, 6),
            Unit::GPa => Factor::Decimal(1, 9),
            Unit::Ksi => Factor::Float(1000.0 * PSI),
            Unit::Psi => Factor::Float(PSI),
            Unit::Degree => Factor::Float(std::f64::consts::PI / 180.0),
        }
    }
}
