//! Numbers and findings in the words and units of the design.

use cutting::Rounded;
use design::{Design, Units};
use shape::{Finding, Value};

/// Writes numbers as the design's shop reads them.
#[derive(Clone, Copy, Debug)]
pub struct Text {
    units: Units,
    step: f64,
    angle_step: f64,
}

/// A finding's number has at most so many places more than usual: a hundred-thousandth of a millimetre is rounding.
const MORE: usize = 3;

/// A count of things: `1 tube`, `2 tubes`.
pub fn counted(n: usize, thing: &str) -> String {
    format!("{n} {thing}{}", if n == 1 { "" } else { "s" })
}

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
/// Pound in kg: exact by definition.
const LB: f64 = 0.453_592_37;
/// Standard acceleration of free fall, m/s² (ISO 80000-3).
const GRAVITY: f64 = 9.806_65;
/// Pound-force in N.
const LBF: f64 = LB * GRAVITY;

impl Text {
    /// For a design.
    pub fn new(design: &Design) -> Text {
        Text { units: design.units, step: design.limits.round, angle_step: design.limits.round_angle }
    }

    /// The same in other units: of a sheet that has its own.
    pub fn in_units(&self, units: Units) -> Text {
        Text { units, ..*self }
    }

    /// The unit's symbol.
    pub fn unit(&self) -> &'static str {
        match self.units {
            Units::Mm => "mm",
            Units::In => "in",
        }
    }

    /// The unit's name, as it stands in a sentence.
    pub fn unit_word(&self) -> &'static str {
        match self.units {
            Units::Mm => "mm",
            Units::In => "inches",
        }
    }

    /// A length that something is cut or marked to: as [`Text::length`], and where that is a fraction of an inch the
    /// length itself beside it to a thousandth, for scales and stops that read in decimals.
    pub fn cut(&self, m: f64) -> String {
        let shown = self.length(m);
        self.decimal(m).map_or(shown.clone(), |d| format!("{shown} ({d})"))
    }

    /// The decimal alone, where [`Text::cut`] has one.
    pub fn decimal(&self, m: f64) -> Option<String> {
        let decimal = format!("{:.3}", m / INCH);
        let fractions = self.length(self.step).contains('/');
        (self.units == Units::In && fractions && trim(m / INCH, 3) != self.length(m)).then_some(decimal)
    }

    /// A length rounded to the design's step, without its unit: `862.5`, or `33 15/16` where the step is a fraction of
    /// an inch.
    pub fn length(&self, m: f64) -> String {
        let steps = (Rounded::to(m, self.step).shown / self.step).round();
        match self.units {
            Units::Mm => trim(steps * self.step * 1e3, 3),
            Units::In => {
                let per_inch = INCH / self.step;
                // A step that is no whole part of an inch is written as a decimal.
                if (per_inch - per_inch.round()).abs() > 1e-6 || per_inch.round() < 1.0 {
                    return trim(steps * self.step / INCH, 4);
                }
                fraction(steps as i64, per_inch.round() as i64)
            }
        }
    }

    /// A length with its unit.
    pub fn length_unit(&self, m: f64) -> String {
        format!("{} {}", self.length(m), self.unit())
    }

    /// The step that lengths are rounded to, with its unit.
    pub fn step(&self) -> String {
        self.length_unit(self.step)
    }

    /// A small length (a gap, a wall) to a hundredth of a mm or a thousandth of an inch, with its unit.
    pub fn fine(&self, m: f64) -> String {
        format!("{} {}", self.fine_number(m), self.unit())
    }

    /// The same without its unit.
    pub fn fine_number(&self, m: f64) -> String {
        match self.units {
            Units::Mm => trim(m * 1e3, 2),
            Units::In => trim(m / INCH, 3),
        }
    }

    /// An angle rounded to the design's step: `51.5°`.
    pub fn angle(&self, rad: f64) -> String {
        let shown = Rounded::to(rad, self.angle_step).shown;
        format!("{}°", trim(shown.to_degrees(), 3))
    }

    /// An angle round a tube: as [`Text::angle`], with a full turn written as none.
    pub fn turn(&self, rad: f64) -> String {
        let s = self.angle(rad.rem_euclid(std::f64::consts::TAU));
        if s == "360°" { "0°".to_owned() } else { s }
    }

    /// A turn one way or the other, the shorter way: `11.5° cw` for clockwise (positive), `ccw` for anticlockwise.
    pub fn handed(&self, rad: f64) -> String {
        let turn = rad.rem_euclid(std::f64::consts::TAU);
        let back = std::f64::consts::TAU - turn;
        match (self.turn(turn), self.angle(back)) {
            (zero, _) if zero == "0°" => zero,
            (half, _) if half == "180°" => half,
            (cw, _) if turn < back => format!("{cw} cw"),
            (_, ccw) => format!("{ccw} ccw"),
        }
    }

    /// A mass with its unit, to a hundredth.
    pub fn mass(&self, kg: f64) -> String {
        format!("{:.2} {}", self.mass_number(kg), self.mass_unit())
    }

    /// A mass in the design's unit.
    pub fn mass_number(&self, kg: f64) -> f64 {
        kg / self.in_inches(1.0, LB)
    }

    /// The unit of masses.
    pub fn mass_unit(&self) -> &'static str {
        self.in_inches("kg", "lb")
    }

    /// A small mass of filler in g or oz, without its unit.
    pub fn filler(&self, kg: f64) -> String {
        trim(kg / self.in_inches(1e-3, LB / 16.0), 2)
    }

    /// The unit of [`Text::filler`].
    pub fn filler_unit(&self) -> &'static str {
        self.in_inches("g", "oz")
    }

    /// A volume of gas, from m³, with its unit.
    pub fn gas(&self, m3: f64) -> String {
        match self.units {
            Units::Mm => format!("{:.0} l", m3 * 1e3),
            Units::In => format!("{:.1} ft³", m3 / FOOT.powi(3)),
        }
    }

    /// A moment of inertia, from kg m², in the design's unit.
    pub fn inertia_number(&self, kg_m2: f64) -> f64 {
        kg_m2 / self.in_inches(1.0, LB * FOOT * FOOT)
    }

    /// The unit of moments of inertia.
    pub fn inertia_unit(&self) -> &'static str {
        self.in_inches("kg m²", "lb ft²")
    }

    /// A load on the ground, from N, as a scale shows it, with its unit.
    pub fn load(&self, n: f64) -> String {
        format!("{:.1} {}", self.mass_number(n / GRAVITY), self.mass_unit())
    }

    /// A force in the design's unit, without it.
    pub fn force(&self, n: f64) -> String {
        trim(n / self.in_inches(1.0, LBF), 0)
    }

    /// The unit of forces.
    pub fn force_unit(&self) -> &'static str {
        self.in_inches("N", "lbf")
    }

    /// A moment in the design's unit, without it.
    pub fn moment(&self, nm: f64) -> String {
        trim(nm / self.in_inches(1.0, LBF * FOOT), 1)
    }

    /// The unit of moments.
    pub fn moment_unit(&self) -> &'static str {
        self.in_inches("N m", "lbf ft")
    }

    /// A stiffness in torsion, from N m/rad, with its unit: of a degree.
    pub fn torsion(&self, nm_per_rad: f64) -> String {
        format!("{}/°", self.show_moment(nm_per_rad.to_radians()))
    }

    fn show_moment(&self, nm: f64) -> String {
        format!("{} {}", trim(nm / self.in_inches(1.0, LBF * FOOT), 0), self.moment_unit())
    }

    /// A stiffness against a force, from N/m, with its unit.
    pub fn rate(&self, n_per_m: f64) -> String {
        let per = self.in_inches(1e3, LBF / INCH);
        format!("{} {}", trim(n_per_m / per, 0), self.in_inches("N/mm", "lbf/in"))
    }

    /// An energy with its unit.
    pub fn energy(&self, j: f64) -> String {
        self.value(Value::Energy(j), 0)
    }

    fn in_inches<T>(&self, mm: T, inches: T) -> T {
        match self.units {
            Units::Mm => mm,
            Units::In => inches,
        }
    }

    /// A number of any kind with its unit.
    pub fn shown(&self, v: Value) -> String {
        self.value(v, 0)
    }

    /// A finding's number, to so many places more than usual.
    fn value(&self, v: Value, more: usize) -> String {
        match v {
            Value::Length(m) => match self.units {
                Units::Mm => format!("{} mm", trim(m * 1e3, 2 + more)),
                Units::In => format!("{} in", trim(m / INCH, 3 + more)),
            },
            Value::Angle(a) => format!("{}°", trim(a.to_degrees(), 2 + more)),
            Value::Mass(kg) => format!("{:.*} {}", 2 + more, self.mass_number(kg), self.mass_unit()),
            Value::Part(p) => format!("{} %", trim(100.0 * p, 1 + more)),
            Value::Factor(f) => trim(f, 2 + more),
            Value::Energy(j) => {
                let unit = self.in_inches("J", "ft lbf");
                format!("{} {unit}", trim(j / self.in_inches(1.0, LBF * FOOT), more))
            }
            Value::Count(n) => n.to_string(),
        }
    }

    /// What was measured and its limit, in one phrase: `3.2 mm; limit 5 mm (limits.touch)`. Where both would read alike
    /// they have as many places as tell them apart; what not even those do is just at its limit.
    pub fn measure(&self, f: &Finding) -> Option<String> {
        let source = f.source.as_deref().map_or(String::new(), |s| format!(" ({s})"));
        match (f.measured, f.limit) {
            (None, None) => None,
            (Some(v), None) => Some(self.value(v, 0)),
            (None, Some(l)) => Some(format!("limit {}{source}", self.value(l, 0))),
            (Some(v), Some(l)) => {
                let told = (0..=MORE).map(|n| [self.value(v, n), self.value(l, n)]).find(|[v, l]| v != l);
                Some(match told {
                    Some([v, l]) => format!("{v}; limit {l}{source}"),
                    None => format!("just at the limit of {}{source}", self.value(l, 0)),
                })
            }
        }
    }
}

/// A decimal without trailing zeros.
fn trim(v: f64, places: usize) -> String {
    let s = format!("{v:.places$}");
    let s = if s.contains('.') { s.trim_end_matches('0').trim_end_matches('.') } else { &s };
    if s == "-0" { "0".to_owned() } else { s.to_owned() }
}

fn fraction(count: i64, per_inch: i64) -> String {
    let sign = if count < 0 { "-" } else { "" };
    let (whole, mut num, mut den) = (count.abs() / per_inch, count.abs() % per_inch, per_inch);
    while num != 0 && num % 2 == 0 && den % 2 == 0 {
        num /= 2;
        den /= 2;
    }
    match (whole, num) {
        (w, 0) => format!("{sign}{w}"),
        (0, n) => format!("{sign}{n}/{den}"),
        (w, n) => format!("{sign}{w} {n}/{den}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn masses_and_loads_are_in_the_units_of_the_design() {
        let of = |units| Text { units, step: 5e-4, angle_step: 0.01 };
        let (mm, inch) = (of(Units::Mm), of(Units::In));
        // 1 lb is 0.453 592 37 kg and 1 lb ft² 0.042 140 11 kg m² (NIST Special Publication 811, appendix B.9).
        assert_eq!((mm.mass(0.453_592_37), inch.mass(0.453_592_37)), ("0.45 kg".to_owned(), "1.00 lb".to_owned()));
        assert_eq!((mm.load(980.665), inch.load(4_448.221_615)), ("100.0 kg".to_owned(), "1000.0 lb".to_owned()));
        assert!((inch.inertia_number(0.042_140_11) - 1.0).abs() < 1e-7);
        assert_eq!([counted(1, "tube"), counted(0, "tube"), counted(2, "piece")], ["1 tube", "0 tubes", "2 pieces"]);
    }

    #[test]
    fn what_is_measured_reads_differently_from_its_limit() {
        let mm = Text { units: Units::Mm, step: 5e-4, angle_step: 0.01 };
        let says = |v, l| {
            let f = Finding::new(shape::Level::Look, "shape", "near").measured(v).limit(l, "limits.touch");
            mm.measure(&f).unwrap()
        };
        let length = Value::Length;
        assert_eq!(says(length(3.2e-3), length(5e-3)), "3.2 mm; limit 5 mm (limits.touch)");
        assert_eq!(says(length(4.9996e-3), length(5e-3)), "4.9996 mm; limit 5 mm (limits.touch)");
        assert_eq!(says(length(-4e-7), length(0.0)), "-0.0004 mm; limit 0 mm (limits.touch)");
        assert_eq!(says(length(-1e-12), length(0.0)), "just at the limit of 0 mm (limits.touch)");
        assert_eq!(says(Value::Part(1.0004), Value::Part(1.0)), "100.04 %; limit 100 % (limits.touch)");
        assert_eq!(says(Value::Energy(99.8), Value::Energy(100.0)), "99.8 J; limit 100 J (limits.touch)");
    }

    #[test]
    fn shop_numbers() {
        let mm = Text { units: Units::Mm, step: 0.0005, angle_step: 0.5f64.to_radians() };
        assert_eq!((mm.force(1234.4), mm.moment(12.34)), ("1234".into(), "12.3".into()));
        assert_eq!(
            (mm.torsion(360e3 / std::f64::consts::TAU), mm.rate(2e6)),
            ("1000 N m/°".into(), "2000 N/mm".into())
        );
        assert_eq!(mm.length(0.86234), "862.5");
        assert_eq!(mm.length(-0.0001), "0");
        assert_eq!(mm.angle(0.9), "51.5°");
        assert_eq!(mm.handed(0.2), "11.5° cw");
        assert_eq!(mm.handed(-0.2), "11.5° ccw");
        assert_eq!((mm.handed(-1e-4), mm.handed(std::f64::consts::PI)), ("0°".into(), "180°".into()));
        let inch = Text { units: Units::In, step: INCH / 16.0, angle_step: 0.5f64.to_radians() };
        // NIST SP 811, appendix B.8: 1 lbf = 4.448 222 N, 1 lbf ft = 1.355 818 N m, 1 lbf/in = 175.1268 N/m.
        assert_eq!((inch.force(4448.222), inch.moment(1355.818)), ("1000".into(), "1000".into()));
        assert_eq!((inch.rate(175.1268e3), inch.energy(1355.818)), ("1000 lbf/in".into(), "1000 ft lbf".into()));
        assert_eq!(inch.length(33.94 * INCH), "33 15/16");
        assert_eq!(inch.length(0.5 * INCH), "1/2");
        assert_eq!(inch.length(-2.25 * INCH), "-2 1/4");
        assert_eq!(inch.length(12.99 * INCH), "13");
        assert_eq!(inch.cut(33.94 * INCH), "33 15/16 (33.940)");
        // A whole number of inches shown may still stand for a length a little off.
        assert_eq!(inch.cut(12.99 * INCH), "13 (12.990)");
        assert_eq!(inch.cut(13.0 * INCH), "13");
        assert_eq!(mm.cut(0.86234), "862.5");
    }
}
