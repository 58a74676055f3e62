//! Common tube steels. Minimum values of the standards, for walls up to 16 mm; a mill sheet is better than any of them.

use std::sync::LazyLock;

use crate::model::Material;

struct Row {
    name: &'static str,
    yield_mpa: f64,
    tensile_mpa: f64,
    elongation: Option<f64>,
    elastic: Elastic,
    source: &'static str,
}

enum Elastic {
    /// EN 1993-1-1 3.2.6: E = 210 GPa, ν = 0.3, G = E / (2 (1 + ν)), about 81 GPa.
    Eurocode,
    /// AISC: E = 29000 ksi, G = 11200 ksi, ν = 0.3.
    Aisc,
}

const KSI: f64 = 6_894_757.293_168_361;

static ROWS: &[Row] = &[
    Row {
        name: "S235",
        yield_mpa: 235.0,
        tensile_mpa: 360.0,
        elongation: Some(0.24),
        elastic: Elastic::Eurocode,
        source: "EN 10219-1 S235JRH, minimum values, from memory",
    },
    Row {
        name: "S355",
        yield_mpa: 355.0,
        tensile_mpa: 470.0,
        elongation: Some(0.20),
        elastic: Elastic::Eurocode,
        source: "EN 10025-2 S355JR, t up to 16 mm, lowest of the values in use (470 to 630 MPa, 20 to 22 %), \
                 read in a published grade table",
    },
    Row {
        name: "S355J2H",
        yield_mpa: 355.0,
        tensile_mpa: 470.0,
        elongation: Some(0.22),
        elastic: Elastic::Eurocode,
        source: "EN 10210-1 S355J2H, t up to 16 mm, minimum values, read in a manufacturer's data page",
    },
    Row {
        name: "E235+N",
        yield_mpa: 235.0,
        tensile_mpa: 340.0,
        elongation: Some(0.25),
        elastic: Elastic::Eurocode,
        source: "EN 10305-1 E235+N, minimum values, from memory",
    },
    Row {
        name: "E355+N",
        yield_mpa: 355.0,
        tensile_mpa: 490.0,
        elongation: Some(0.22),
        elastic: Elastic::Eurocode,
        source: "EN 10305-1 E355+N, minimum values, from memory",
    },
    Row {
        name: "E355",
        yield_mpa: 355.0,
        tensile_mpa: 490.0,
        elongation: Some(0.22),
        elastic: Elastic::Eurocode,
        source: "taken as E355+N: EN 10305-1, minimum values, from memory",
    },
    Row {
        name: "E355+SR",
        yield_mpa: 450.0,
        tensile_mpa: 580.0,
        elongation: Some(0.10),
        elastic: Elastic::Eurocode,
        source: "EN 10305-1 E355+SR, minimum values away from welds, from memory",
    },
    Row {
        name: "4130N",
        yield_mpa: 75.0 * KSI / 1e6,
        tensile_mpa: 95.0 * KSI / 1e6,
        elongation: None,
        elastic: Elastic::Aisc,
        source: "AISI 4130 tube, normalised, wall up to 0.188 in: MMPDS, AMS 6360 (75 / 95 ksi), away from welds, \
                 from memory",
    },
    Row {
        name: "1020 DOM",
        yield_mpa: 60.0 * KSI / 1e6,
        tensile_mpa: 70.0 * KSI / 1e6,
        elongation: Some(0.05),
        elastic: Elastic::Aisc,
        source: "AISI 1020 drawn over mandrel: ASTM A513 type 5 (about 60 / 70 ksi), away from welds, from memory",
    },
];

static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| ROWS.iter().map(material).collect());

fn material(row: &Row) -> Material {
    let (youngs, shear) = match row.elastic {
        Elastic::Eurocode => (210e9, 210e9 / 2.6),
        Elastic::Aisc => (29_000.0 * KSI, 11_200.0 * KSI),
    };
    Material {
        name: row.name.to_owned(),
        yield_strength: row.yield_mpa * 1e6,
        tensile_strength: row.tensile_mpa * 1e6,
        youngs,
        shear,
        poisson: 0.3,
        density: 7850.0,
        elongation: row.elongation,
        source: row.source.to_owned(),
    }
}

/// All built-in materials.
pub fn builtin_materials() -> &'static [Material] {
    &MATERIALS
}

/// The built-in material of that name.
pub fn builtin_material(name: &str) -> Option<&'static Material> {
    builtin_materials().iter().find(|m| m.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_material_is_plausible_and_says_where_it_is_from() {
        for m in builtin_materials() {
            assert!(m.yield_strength < m.tensile_strength && m.yield_strength > 200e6, "{}", m.name);
            assert!((190e9..220e9).contains(&m.youngs) && (75e9..82e9).contains(&m.shear), "{}", m.name);
            assert!(m.source.contains("from memory") != m.source.contains("read in"), "{}", m.name);
            assert_eq!(builtin_materials().iter().filter(|o| o.name == m.name).count(), 1);
        }
    }

    #[test]
    fn metric_values_of_inch_grades() {
        // 75 / 95 ksi are printed as 517 / 655 MPa, 60 / 70 ksi as 414 / 483 MPa.
        let n4130 = builtin_material("4130N").unwrap();
        assert_eq!((n4130.yield_strength / 1e6).round(), 517.0);
        assert_eq!((n4130.tensile_strength / 1e6).round(), 655.0);
        let dom = builtin_material("1020 DOM").unwrap();
        assert_eq!((dom.yield_strength / 1e6).round(), 414.0);
        assert_eq!((dom.tensile_strength / 1e6).round(), 483.0);
    }
}
