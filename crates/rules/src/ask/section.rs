//! Sections: at least so much, or as good as a given one.

use design::rules::{Given, LeastSection, Measure};
use design::{Material, Section, SectionShape};
use shape::Shape;

use crate::{Figure, Held};

/// What is measured, its limit if there is one, its value, and what kind of figure it is.
type Line = (&'static str, Option<f64>, f64, fn(f64) -> Figure);

/// The section of a tube and its material.
fn of(shape: &Shape, tube: usize) -> (&Section, &Material) {
    let d = &shape.design;
    let section = &d.sections[shape.tubes[tube].section.0];
    (section, &d.materials[section.material.0])
}

fn rounded(v: f64, to: Option<f64>) -> f64 {
    to.map_or(v, |t| (v / t).round() * t)
}

/// Against least figures, one by one.
pub fn least(shape: &Shape, tube: usize, wanted: &LeastSection) -> Vec<Held> {
    let (section, material) = of(shape, tube);
    let p = section.shape.properties();
    let name = || vec![shape.tubes[tube].name.clone()];
    let od = match section.shape {
        SectionShape::Round { od, .. } => od,
        SectionShape::Box { width, height, .. } => width.min(height),
    };
    let area = rounded(p.area, wanted.area_to);
    let inertia = rounded(p.inertia_y.min(p.inertia_z), wanted.inertia_to);
    let list: [Line; 6] = [
        ("outside", wanted.od, od, Figure::Length),
        ("wall", wanted.wall, section.shape.wall(), Figure::Length),
        ("area", wanted.area, area, Figure::Area),
        ("second moment", wanted.inertia, inertia, Figure::SecondMoment),
        ("yield strength", wanted.yield_strength, material.yield_strength, Figure::Stress),
        ("tensile strength", wanted.tensile_strength, material.tensile_strength, Figure::Stress),
    ];
    // Of several sizes, the one that it comes nearest to in both.
    let worth = |s: &[f64; 2]| (od / s[0]).min(section.shape.wall() / s[1]);
    let size = wanted.sizes.iter().max_by(|a, b| worth(a).total_cmp(&worth(b)));
    let by_size = size.into_iter().flat_map(|s| {
        [
            Held::least(name(), "outside", Figure::Length(od), Figure::Length(s[0])),
            Held::least(name(), "wall", Figure::Length(section.shape.wall()), Figure::Length(s[1])),
        ]
    });
    let held = |(what, limit, v, kind): Line| limit.map(|l| Held::least(name(), what, kind(v), kind(l)));
    by_size.chain(list.into_iter().filter_map(held)).collect()
}

/// Steel by its stiffness and its density: from 180 to 230 GPa, 7500 to 8200 kg/m³.
fn is_steel(m: &Material) -> bool {
    (180e9..=230e9).contains(&m.youngs) && (7500.0..=8200.0).contains(&m.density)
}

/// What sections are compared by, for one material.
struct Worth {
    area: f64,
    inertia: f64,
    modulus: f64,
    youngs: f64,
}

impl Worth {
    fn new(s: &SectionShape, youngs: f64) -> Worth {
        let p = s.properties();
        Worth { area: p.area, inertia: p.inertia_y.min(p.inertia_z), modulus: p.elastic_y.min(p.elastic_z), youngs }
    }

    fn of(&self, m: Measure, yield_strength: f64, tensile: f64) -> f64 {
        match m {
            Measure::BendingStiffness => self.youngs * self.inertia,
            Measure::Area => self.area,
            Measure::TensionYield => self.area * yield_strength,
            Measure::TensionUltimate => self.area * tensile,
            Measure::BendingYield => self.modulus * yield_strength,
            Measure::BendingUltimate => self.modulus * tensile,
            // Of a beam bent in the middle, F² L³ / 96 E I with F = 4 σ Z / L: the same for every length.
            Measure::Energy => (self.modulus * tensile).powi(2) / (self.youngs * self.inertia),
        }
    }

    /// Whether a measure depends on how strong the material is.
    fn strength(m: Measure) -> bool {
        !matches!(m, Measure::BendingStiffness | Measure::Area)
    }
}

/// As a multiple of what the given one has, measure by measure, and again as welded.
pub fn equal(shape: &Shape, tube: usize, given: &Given, by: &[Measure]) -> Vec<Held> {
    let (section, material) = of(shape, tube);
    let name = || vec![shape.tubes[tube].name.clone()];
    let as_given = given.any_steel && is_steel(material);
    let own = Worth::new(&section.shape, if as_given { given.youngs } else { material.youngs });
    let base = Worth::new(&SectionShape::Round { od: given.od, wall: given.wall }, given.youngs);
    let (y, u) = (given.yield_strength, given.tensile_strength);
    let (oy, ou) = if as_given { (y, u) } else { (material.yield_strength, material.tensile_strength) };
    let ratio = |m: Measure, oy: f64, ou: f64, y: f64, u: f64, what: String| {
        Held::least(name(), what, Figure::Factor(own.of(m, oy, ou) / base.of(m, y, u)), Figure::Factor(1.0))
    };
    let mut out: Vec<Held> = by.iter().map(|&m| ratio(m, oy, ou, y, u, m.word().to_owned())).collect();
    if let (Some(wy), Some(wu)) = (given.welded_yield, given.welded_tensile) {
        for &m in by.iter().filter(|m| Worth::strength(**m)) {
            let what = format!("{} as welded", m.word());
            out.push(if as_given {
                ratio(m, wy, wu, wy, wu, what)
            } else {
                Held::not_checked(name(), what, format!("{} has no strength as welded in the design", material.name))
            });
        }
    }
    out
}
