//! Cross-sections as the mechanics needs them.

use design::{Material, SectionShape};
use frame::Section;

/// A section with the moduli that stresses are taken with. `u` is upright across a box, towards the scribe line of a round
/// tube; `v` lies across.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Profile {
    /// Stiffness and mass.
    pub section: Section,
    /// Whether it is round.
    pub round: bool,
    /// Elastic moduli about u and about v, m³.
    pub elastic: [f64; 2],
    /// Plastic moduli about u and about v, m³.
    pub plastic: [f64; 2],
    /// Torsion modulus, m³.
    pub twist: f64,
    /// For shear along u and along v: the largest shear stress is V / this, m².
    pub webs: [f64; 2],
    /// Yield strength, Pa.
    pub yield_strength: f64,
}

impl Profile {
    /// From a section's outline and its material.
    pub fn new(shape: &SectionShape, material: &Material) -> Profile {
        let p = shape.properties();
        let nu = material.poisson;
        // A box's x, along u, is its height: bending about v is bending in its upright plane.
        let (second, elastic, plastic) =
            ([p.inertia_z, p.inertia_y], [p.elastic_z, p.elastic_y], [p.plastic_z, p.plastic_y]);
        // Jourawski: τ = V Q / (I 2t), and the first moment Q of half the section is half of the plastic modulus.
        let webs = [1, 0].map(|k| 4.0 * shape.wall() * second[k] / plastic[k]);
        let (shear_areas, round) = match *shape {
            SectionShape::Round { od, wall } => {
                let k = round_coefficient((od - 2.0 * wall) / od, nu);
                ([k * p.area; 2], true)
            }
            SectionShape::Box { width, height, wall, .. } => {
                let (b, h) = (width - wall, height - wall);
                let k = [box_coefficient(b, h, nu), box_coefficient(h, b, nu)];
                (k.map(|k| k * p.area), false)
            }
        };
        let section = Section {
            youngs: material.youngs,
            shear: material.shear,
            density: material.density,
            area: p.area,
            shear_areas,
            second,
            torsion: p.torsion,
        };
        let yield_strength = material.yield_strength;
        Profile { section, round, elastic, plastic, twist: p.torsion_modulus, webs, yield_strength }
    }
}

/// Cowper's coefficient of a round tube whose bore is `m` of its outside (J. Appl. Mech. 33, 1966; from memory).
pub fn round_coefficient(m: f64, nu: f64) -> f64 {
    let q = (1.0 + m * m).powi(2);
    6.0 * (1.0 + nu) * q / ((7.0 + 6.0 * nu) * q + (20.0 + 12.0 * nu) * m * m)
}

/// Cowper's coefficient of a thin-walled box, `b` across and `h` along the shear, both between the walls' middles.
pub fn box_coefficient(b: f64, h: f64, nu: f64) -> f64 {
    let m = b / h;
    let n = m;
    let (m2, m3) = (m * m, m * m * m);
    10.0 * (1.0 + nu) * (1.0 + 3.0 * m).powi(2)
        / ((12.0 + 72.0 * m + 150.0 * m2 + 90.0 * m3)
            + nu * (11.0 + 66.0 * m + 135.0 * m2 + 90.0 * m3)
            + 10.0 * n * n * ((3.0 + nu) * m + 3.0 * m2))
}
