//! Section properties of round and box tube.
//!
//! Round: closed forms. Box: the formulas of EN 10219-2:2006 Annex B, which take the rounded corners exactly for area and
//! second moments, and a thin-walled closed section (Bredt) plus the strip term for torsion. Checked below against
//! printed steel tables.

use std::f64::consts::PI;

use crate::model::SectionShape;

/// Properties of a section; SI. Axes: *y* lies across the section (along a box's width), *z* upright (along its height).
/// For round tube both are alike.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct SectionProperties {
    /// Area of steel, m².
    pub area: f64,
    /// Second moment of area about y: bending in the upright plane, m⁴.
    pub inertia_y: f64,
    /// Second moment of area about z, m⁴.
    pub inertia_z: f64,
    /// Torsion constant, m⁴.
    pub torsion: f64,
    /// Elastic modulus about y, m³.
    pub elastic_y: f64,
    /// Elastic modulus about z, m³.
    pub elastic_z: f64,
    /// Plastic modulus about y, m³.
    pub plastic_y: f64,
    /// Plastic modulus about z, m³.
    pub plastic_z: f64,
    /// Torsion modulus: largest shear stress = torque / this, m³.
    pub torsion_modulus: f64,
}

impl SectionProperties {
    /// Radius of gyration about y, m.
    pub fn gyration_y(&self) -> f64 {
        (self.inertia_y / self.area).sqrt()
    }

    /// Radius of gyration about z, m.
    pub fn gyration_z(&self) -> f64 {
        (self.inertia_z / self.area).sqrt()
    }
}

/// A quarter circle's complement: what a rounded corner takes from a square one.
struct Corner {
    /// Area that one corner takes away, m².
    area: f64,
    /// Second moment of that area about its own centroid, m⁴.
    inertia: f64,
    /// From the side of the rectangle to its centroid, m.
    centroid: f64,
}

impl Corner {
    fn new(radius: f64) -> Self {
        Corner {
            area: (1.0 - PI / 4.0) * radius.powi(2),
            inertia: (1.0 / 3.0 - PI / 16.0 - 1.0 / (3.0 * (12.0 - 3.0 * PI))) * radius.powi(4),
            centroid: (10.0 - 3.0 * PI) / (12.0 - 3.0 * PI) * radius,
        }
    }
}

/// A rectangle with rounded corners, about the axis along its width.
struct Filled {
    area: f64,
    inertia: f64,
    plastic: f64,
}

impl Filled {
    fn new(width: f64, height: f64, radius: f64) -> Self {
        let corner = Corner::new(radius);
        let arm = height / 2.0 - corner.centroid;
        Filled {
            area: width * height - 4.0 * corner.area,
            inertia: width * height.powi(3) / 12.0 - 4.0 * (corner.inertia + corner.area * arm.powi(2)),
            plastic: width * height.powi(2) / 4.0 - 4.0 * corner.area * arm,
        }
    }
}

impl SectionShape {
    /// Outside corner radius and inside one, m; both zero for round tube, which has no corners.
    ///
    /// The inside radius follows from the outside one as the standards pair them for calculation: 1 wall with 2 walls
    /// (EN 10219-2, cold formed: the corner keeps its wall), 1 wall with 1.5 walls (EN 10210-2, hot finished: the corner
    /// is thicker); beyond 2 walls the corner keeps its wall, and a sharp outside has a sharp inside.
    pub fn corner_radii(&self) -> (f64, f64) {
        match *self {
            SectionShape::Round { .. } => (0.0, 0.0),
            SectionShape::Box { width, height, wall, corner } => {
                let inside = (corner - wall).max(wall.min(corner / 1.5));
                (corner, inside.min(width.min(height) / 2.0 - wall))
            }
        }
    }

    /// Area of steel, m².
    pub fn area(&self) -> f64 {
        match *self {
            SectionShape::Round { od, wall } => PI * wall * (od - wall),
            SectionShape::Box { width, height, wall, .. } => {
                let (outer, inner) = self.corner_radii();
                Filled::new(width, height, outer).area
                    - Filled::new(width - 2.0 * wall, height - 2.0 * wall, inner).area
            }
        }
    }

    /// Mass of a metre, kg, for a density in kg/m³.
    pub fn mass_per_metre(&self, density: f64) -> f64 {
        self.area() * density
    }

    /// All properties.
    pub fn properties(&self) -> SectionProperties {
        match *self {
            SectionShape::Round { od, wall } => round(od, wall),
            SectionShape::Box { width, height, wall, .. } => boxed(width, height, wall, self.corner_radii()),
        }
    }
}

fn round(od: f64, wall: f64) -> SectionProperties {
    let id = od - 2.0 * wall;
    let inertia = PI * (od.powi(4) - id.powi(4)) / 64.0;
    let plastic = (od.powi(3) - id.powi(3)) / 6.0;
    let elastic = 2.0 * inertia / od;
    SectionProperties {
        area: PI * wall * (od - wall),
        inertia_y: inertia,
        inertia_z: inertia,
        torsion: 2.0 * inertia,
        elastic_y: elastic,
        elastic_z: elastic,
        plastic_y: plastic,
        plastic_z: plastic,
        torsion_modulus: 2.0 * elastic,
    }
}

fn boxed(width: f64, height: f64, wall: f64, (outer, inner): (f64, f64)) -> SectionProperties {
    let about = |across: f64, along: f64| {
        let out = Filled::new(across, along, outer);
        let hole = Filled::new(across - 2.0 * wall, along - 2.0 * wall, inner);
        (out.area - hole.area, out.inertia - hole.inertia, out.plastic - hole.plastic)
    };
    let (area, inertia_y, plastic_y) = about(width, height);
    let (_, inertia_z, plastic_z) = about(height, width);
    // EN 10219-2 B.3: the wall's middle line, its length and what it encloses.
    let middle_radius = (outer + inner) / 2.0;
    let length = 2.0 * ((width - wall) + (height - wall)) - 2.0 * middle_radius * (4.0 - PI);
    let enclosed = (width - wall) * (height - wall) - middle_radius.powi(2) * (4.0 - PI);
    let k = 2.0 * enclosed * wall / length;
    let torsion = wall.powi(3) * length / 3.0 + 2.0 * k * enclosed;
    SectionProperties {
        area,
        inertia_y,
        inertia_z,
        torsion,
        elastic_y: 2.0 * inertia_y / height,
        elastic_z: 2.0 * inertia_z / width,
        plastic_y,
        plastic_z,
        torsion_modulus: torsion / (wall + k / wall),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::builtin::builtin_section;

    /// Whether `value` is `printed` to the digits that are printed.
    fn prints_as(value: f64, printed: &str) -> bool {
        let decimals = printed.split('.').nth(1).map_or(0, str::len);
        // Half a unit of the last digit, and a little for tables that round 0.5 the other way.
        let half = 0.501 * 10f64.powi(-(decimals as i32));
        (value - printed.parse::<f64>().unwrap()).abs() <= half
    }

    /// kg/m, A cm², I cm⁴, i cm, Wel cm³, Wpl cm³, It cm⁴, Wt cm³: UK steel tables (EN 10219-2 and EN 10210-2 sizes).
    const TABLE: &[(&str, [&str; 8])] = &[
        ("CHS 33.7 x 3.0", ["2.27", "2.89", "3.44", "1.09", "2.04", "2.84", "6.88", "4.08"]),
        ("CHS 42.4 x 3.0", ["2.91", "3.71", "7.25", "1.40", "3.42", "4.67", "14.5", "6.84"]),
        ("CHS 48.3 x 3.0", ["3.35", "4.27", "11.0", "1.61", "4.55", "6.17", "22.0", "9.11"]),
        ("CHS 48.3 x 4.0", ["4.37", "5.57", "13.8", "1.57", "5.70", "7.87", "27.5", "11.4"]),
        ("CHS 60.3 x 3.0", ["4.24", "5.40", "22.2", "2.03", "7.37", "9.86", "44.4", "14.7"]),
        ("HF CHS 42.4 x 3.2", ["3.09", "3.94", "7.62", "1.39", "3.59", "4.93", "15.2", "7.19"]),
        ("HF CHS 48.3 x 3.2", ["3.56", "4.53", "11.6", "1.60", "4.80", "6.52", "23.2", "9.59"]),
        ("SHS 25 x 25 x 2.0", ["1.36", "1.74", "1.48", "0.924", "1.19", "1.47", "2.53", "1.80"]),
        ("SHS 40 x 40 x 3.0", ["3.30", "4.21", "9.32", "1.49", "4.66", "5.72", "15.8", "7.07"]),
        ("SHS 50 x 50 x 3.0", ["4.25", "5.41", "19.5", "1.90", "7.79", "9.39", "32.1", "11.8"]),
        ("HF SHS 40 x 40 x 3.2", ["3.61", "4.60", "10.2", "1.49", "5.11", "6.28", "16.5", "7.42"]),
        ("HF SHS 50 x 50 x 4.0", ["5.64", "7.19", "25.0", "1.86", "9.99", "12.3", "40.4", "14.5"]),
        ("RHS 60 x 40 x 3.0", ["4.25", "5.41", "25.4", "2.17", "8.46", "10.5", "29.3", "11.2"]),
        ("RHS 50 x 30 x 2.5", ["2.82", "3.59", "11.3", "1.77", "4.52", "5.70", "11.7", "5.72"]),
        ("RHS 50 x 25 x 2.0", ["2.15", "2.74", "8.38", "1.75", "3.35", "4.26", "7.06", "3.92"]),
    ];

    /// I cm⁴, i cm, Wel cm³, Wpl cm³ about the other axis.
    const TABLE_Z: &[(&str, [&str; 4])] = &[
        ("RHS 60 x 40 x 3.0", ["13.4", "1.58", "6.72", "7.94"]),
        ("RHS 50 x 30 x 2.5", ["5.05", "1.19", "3.37", "3.98"]),
        ("RHS 50 x 25 x 2.0", ["2.81", "1.01", "2.25", "2.62"]),
    ];

    #[test]
    fn agrees_with_steel_tables_to_the_printed_digits() {
        for (name, printed) in TABLE {
            let shape = builtin_section(name).unwrap().shape;
            let p = shape.properties();
            let computed = [
                shape.mass_per_metre(7850.0),
                p.area * 1e4,
                p.inertia_y * 1e8,
                p.gyration_y() * 1e2,
                p.elastic_y * 1e6,
                p.plastic_y * 1e6,
                p.torsion * 1e8,
                p.torsion_modulus * 1e6,
            ];
            for (value, printed) in computed.iter().zip(printed) {
                assert!(prints_as(*value, printed), "{name}: {value} is printed as {printed}");
            }
        }
        for (name, printed) in TABLE_Z {
            let p = builtin_section(name).unwrap().shape.properties();
            let computed = [p.inertia_z * 1e8, p.gyration_z() * 1e2, p.elastic_z * 1e6, p.plastic_z * 1e6];
            for (value, printed) in computed.iter().zip(printed) {
                assert!(prints_as(*value, printed), "{name}: {value} is printed as {printed}");
            }
        }
    }

    fn near(value: f64, expected: f64, relative: f64) {
        assert!((value / expected - 1.0).abs() <= relative, "{value} instead of {expected}");
    }

    /// AISC shapes database, inches: properties from the design wall, 0.93 of the nominal one (ASTM A500), with an
    /// outside corner of twice that. Half a per cent: three printed digits, and a design wall rounded to 0.001 in.
    #[test]
    fn agrees_with_aisc_shapes() {
        const DIGITS: f64 = 5e-3;
        const IN: f64 = 0.0254;
        let p = SectionShape::Round { od: 1.66 * IN, wall: 0.130 * IN }.properties();
        near(p.area / IN.powi(2), 0.625, DIGITS);
        near(p.inertia_y / IN.powi(4), 0.184, DIGITS);
        near(p.plastic_y / IN.powi(3), 0.305, DIGITS);
        near(p.elastic_y / IN.powi(3), 0.222, DIGITS);
        near(p.gyration_y() / IN, 0.543, DIGITS);
        near(p.torsion / IN.powi(4), 0.368, DIGITS);
        let hss = |height: f64, width: f64, wall: f64| {
            SectionShape::Box { width: width * IN, height: height * IN, wall: wall * IN, corner: 2.0 * wall * IN }
                .properties()
        };
        let p = hss(1.5, 1.5, 0.116);
        near(p.area / IN.powi(2), 0.608, DIGITS);
        near(p.inertia_y / IN.powi(4), 0.188, DIGITS);
        near(p.plastic_y / IN.powi(3), 0.309, DIGITS);
        // AISC takes another thin-walled form for torsion.
        near(p.torsion / IN.powi(4), 0.316, 0.02);
        let p = hss(2.0, 1.0, 0.116);
        near(p.inertia_y / IN.powi(4), 0.280, DIGITS);
        near(p.inertia_z / IN.powi(4), 0.0922, DIGITS);
        near(p.elastic_y / IN.powi(3), 0.280, DIGITS);
        near(p.plastic_y / IN.powi(3), 0.366, DIGITS);
        near(p.torsion / IN.powi(4), 0.238, 0.02);
    }

    /// Closed forms worked out apart from this code: 1.5 x 0.095 in, and the tubes of Formula SAE Rules 2026, F.3.4.1.
    #[test]
    fn agrees_with_closed_forms() {
        let shape = builtin_section("1.5 x 0.095 in").unwrap().shape;
        let p = shape.properties();
        near(p.area, 270.53e-6, 2e-5);
        near(p.inertia_y, 43_264e-12, 2e-5);
        near(p.elastic_y, 2271.1e-9, 3e-5);
        near(p.plastic_y, 3077.8e-9, 3e-5);
        near(shape.mass_per_metre(7850.0), 2.1237, 3e-5);
        let p = SectionShape::Round { od: 0.025, wall: 0.0025 }.properties();
        near(p.inertia_y, 11_320.8e-12, 1e-5);
        let p = SectionShape::Round { od: 0.0254, wall: 0.0016 }.properties();
        near(p.inertia_y, 8508.82e-12, 1e-6);
        near(p.area, 119.63e-6, 1e-4);
    }

    /// The rounded corners against sums over thin strips, which know nothing of the formulas.
    #[test]
    fn rounded_corners_are_exact() {
        let (width, height, radius) = (0.05, 0.08, 0.006);
        let filled = Filled::new(width, height, radius);
        const STRIPS: usize = 200_000;
        let step = height / STRIPS as f64;
        let (mut area, mut inertia, mut plastic) = (0.0, 0.0, 0.0);
        for i in 0..STRIPS {
            let z = (i as f64 + 0.5) * step - height / 2.0;
            let into = (z.abs() - (height / 2.0 - radius)).max(0.0);
            let across = width - 2.0 * (radius - (radius * radius - into * into).sqrt());
            area += across * step;
            inertia += across * step * z * z;
            plastic += across * step * z.abs();
        }
        near(filled.area, area, 1e-8);
        near(filled.inertia, inertia, 1e-8);
        near(filled.plastic, plastic, 1e-8);
    }

    #[test]
    fn a_sharp_inside_corner_is_allowed() {
        let shape = SectionShape::Box { width: 0.04, height: 0.04, wall: 0.003, corner: 0.0 };
        near(shape.area(), 0.04f64.powi(2) - 0.034f64.powi(2), 1e-12);
        near(shape.properties().inertia_y, (0.04f64.powi(4) - 0.034f64.powi(4)) / 12.0, 1e-12);
    }
}
