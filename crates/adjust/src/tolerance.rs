//! General tolerances of welded work after ISO 13920, by nominal length.
//!
//! The standard itself was not at hand. Each value carries whether it was read on a page about the standard or is from
//! memory. The tables stop at 8 m; the standard goes on.

use std::f64::consts::PI;

use serde::{Deserialize, Serialize};

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mark {
    /// Read on a page about the standard.
    Read,
    /// From memory.
    Memory,
}

/// A value of a table.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Limit {
    /// Most that may be off to either side: m, rad, or for straightness, flatness, parallelism the whole width, m.
    pub value: f64,
    /// Where it comes from.
    pub mark: Mark,
}

/// Classes for lengths and angles, A the finest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Class {
    /// A.
    A,
    /// B.
    B,
    /// C.
    C,
    /// D.
    D,
}

/// Classes for straightness, flatness and parallelism, E the finest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FormClass {
    /// E.
    E,
    /// F.
    F,
    /// G.
    G,
    /// H.
    H,
}

/// Upper ends of the ranges for lengths, mm; each belongs to its range ("over … up to …").
const LENGTHS: [f64; 7] = [30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0, 8000.0];
/// Where the first range begins, mm.
const SHORTEST: f64 = 2.0;
/// ± mm.
const LENGTH: [[f64; 7]; 4] = [
    [1.0, 1.0, 1.0, 2.0, 3.0, 4.0, 5.0],
    [1.0, 2.0, 2.0, 3.0, 4.0, 6.0, 8.0],
    [1.0, 3.0, 4.0, 6.0, 8.0, 11.0, 14.0],
    [1.0, 4.0, 7.0, 9.0, 12.0, 16.0, 21.0],
];
/// Upper ends of the ranges of the shorter leg, mm; beyond the second there is no end.
const LEGS: [f64; 2] = [400.0, 1000.0];
/// ± minutes of arc.
const ANGLE: [[f64; 3]; 4] = [[20.0, 15.0, 10.0], [45.0, 30.0, 20.0], [60.0, 45.0, 30.0], [90.0, 75.0, 60.0]];
/// Upper ends of the ranges for form, mm.
const FORMS: [f64; 6] = [120.0, 400.0, 1000.0, 2000.0, 4000.0, 8000.0];
/// Where the first range of form begins (it lies over it), mm.
const SHORTEST_FORM: f64 = 30.0;
/// mm.
const FORM: [[f64; 6]; 4] = [
    [0.5, 1.0, 1.5, 2.0, 3.0, 4.0],
    [1.0, 1.5, 3.0, 4.5, 6.0, 8.0],
    [1.5, 3.0, 5.5, 9.0, 11.0, 16.0],
    [2.5, 5.0, 9.0, 14.0, 18.0, 26.0],
];

/// A nominal length in mm, rounded to a nanometre: a length that was put in as 400 mm comes back as 400, so that it falls in
/// the range that it ends.
fn millimetres(length: f64) -> f64 {
    (length * 1e9).round() / 1e6
}

/// The first range whose upper end is not under `mm`.
fn range(ends: &[f64], mm: f64) -> Option<usize> {
    ends.iter().position(|e| mm <= *e)
}

/// ± for a length, m. `None` under 2 mm, over 8 m, or not a number.
pub fn length(class: Class, nominal: f64) -> Option<Limit> {
    let mm = millimetres(nominal);
    let i = if mm >= SHORTEST { range(&LENGTHS, mm)? } else { return None };
    let mark = if i == 0 && class != Class::A { Mark::Memory } else { Mark::Read };
    Some(Limit { value: LENGTH[class as usize][i] / 1000.0, mark })
}

/// ± for an angle, rad, by the length of its shorter leg, m. `None` if that is not positive.
pub fn angle(class: Class, shorter_leg: f64) -> Option<Limit> {
    let mm = millimetres(shorter_leg);
    if !(mm > 0.0 && mm.is_finite()) {
        return None;
    }
    let i = range(&LEGS, mm).unwrap_or(LEGS.len());
    Some(Limit { value: ANGLE[class as usize][i] / 60.0 * PI / 180.0, mark: Mark::Read })
}

/// Straightness, flatness or parallelism, m, by the longer side. `None` at or under 30 mm, over 8 m, or not a number.
pub fn form(class: FormClass, nominal: f64) -> Option<Limit> {
    let mm = millimetres(nominal);
    let i = if mm > SHORTEST_FORM { range(&FORMS, mm)? } else { return None };
    let mark = if matches!(class, FormClass::G | FormClass::H) { Mark::Memory } else { Mark::Read };
    Some(Limit { value: FORM[class as usize][i] / 1000.0, mark })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(l: Option<Limit>) -> f64 {
        l.map_or(f64::NAN, |l| (l.value * 1e6).round() / 1000.0)
    }

    #[test]
    fn a_range_ends_with_its_upper_end() {
        for (nominal, want) in [
            (0.002, 1.0),
            (0.030, 1.0),
            (0.030_001, 2.0),
            (0.120, 2.0),
            (0.400, 2.0),
            (0.400_001, 3.0),
            (1.0, 3.0),
            (1.000_001, 4.0),
            (2.0, 4.0),
            (4.0, 6.0),
            (4.001, 8.0),
            (8.0, 8.0),
        ] {
            assert_eq!(mm(length(Class::B, nominal)), want, "{nominal}");
        }
        // 0.1 + 0.3 is a bit over 0.4 in binary, and 400 mm all the same.
        assert_eq!(mm(length(Class::B, 0.1 + 0.3)), 2.0);
        for none in [0.0019, 8.000_01, f64::NAN, f64::INFINITY, -1.0, 0.0] {
            assert_eq!(length(Class::A, none), None, "{none}");
        }
    }

    #[test]
    fn each_class_has_its_row() {
        let at = |l: f64| [Class::A, Class::B, Class::C, Class::D].map(|c| mm(length(c, l)));
        assert_eq!(at(0.1), [1.0, 2.0, 3.0, 4.0]);
        assert_eq!(at(0.7), [2.0, 3.0, 6.0, 9.0]);
        assert_eq!(at(3.0), [4.0, 6.0, 11.0, 16.0]);
        let at = |l: f64| [FormClass::E, FormClass::F, FormClass::G, FormClass::H].map(|c| mm(form(c, l)));
        assert_eq!(at(0.12), [0.5, 1.0, 1.5, 2.5]);
        assert_eq!(at(0.121), [1.0, 1.5, 3.0, 5.0]);
        assert_eq!(at(8.0), [4.0, 8.0, 16.0, 26.0]);
        assert_eq!((form(FormClass::E, 0.03), form(FormClass::E, 8.01)), (None, None));
    }

    /// The same page gives angles in mm per metre too, rounded: 6, 4.5, 3; 13, 9, 6; 18, 13, 9; 26, 22, 18 [read].
    #[test]
    fn angles_agree_with_their_slopes() {
        let slopes = [[6.0, 4.5, 3.0], [13.0, 9.0, 6.0], [18.0, 13.0, 9.0], [26.0, 22.0, 18.0]];
        for (class, row) in [Class::A, Class::B, Class::C, Class::D].into_iter().zip(slopes) {
            for (leg, slope) in [0.4, 1.0, 1.001].into_iter().zip(row) {
                let a = angle(class, leg).map_or(0.0, |l| l.value);
                // Printed to half or whole millimetres; the page's 18 for 1° (17.46) is the farthest off.
                assert!((a.tan() * 1000.0 - slope).abs() <= 0.55, "{class:?} {leg} {}", a.tan() * 1000.0);
            }
        }
        assert_eq!(angle(Class::A, 0.0), None);
        assert_eq!(angle(Class::A, f64::NAN), None);
    }

    #[test]
    fn marks_follow_the_page() {
        assert_eq!(length(Class::A, 0.02).map(|l| l.mark), Some(Mark::Read));
        assert_eq!(length(Class::D, 0.02).map(|l| l.mark), Some(Mark::Memory));
        assert_eq!(length(Class::D, 0.2).map(|l| l.mark), Some(Mark::Read));
        assert_eq!(form(FormClass::F, 0.2).map(|l| l.mark), Some(Mark::Read));
        assert_eq!(form(FormClass::G, 0.2).map(|l| l.mark), Some(Mark::Memory));
    }
}
