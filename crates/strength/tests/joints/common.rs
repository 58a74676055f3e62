//! Nodes to test with.

use std::f64::consts::PI;

use strength::joints::{
    Brace, Checked, Chord, Form, Hollow, Kind, Mode, Node, NotChecked, Report, Rules, Steel, check,
};

pub const S355: Steel = Steel { yield_strength: 355e6, tensile_strength: 470e6, youngs: 210e9, elongation: Some(0.2) };

pub fn rad(degrees: f64) -> f64 {
    degrees * PI / 180.0
}

pub fn round_of(od: f64, wall: f64, steel: Steel) -> Hollow {
    let id = od - 2.0 * wall;
    let elastic = PI * (od.powi(4) - id.powi(4)) / (32.0 * od);
    let plastic = (od.powi(3) - id.powi(3)) / 6.0;
    Hollow {
        form: Form::Round { od },
        wall,
        area: PI * wall * (od - wall),
        elastic: [elastic; 2],
        plastic: [plastic; 2],
        twist: 2.0 * elastic,
        steel,
    }
}

pub fn round(od: f64, wall: f64) -> Hollow {
    round_of(od, wall, S355)
}

/// Sharp corners: the joint formulas use areas and moduli for the chord's stress and the brace's moments alone.
pub fn boxed(across: f64, depth: f64, wall: f64) -> Hollow {
    let (bi, hi) = (across - 2.0 * wall, depth - 2.0 * wall);
    let second = |b: f64, h: f64, bi: f64, hi: f64| (b * h.powi(3) - bi * hi.powi(3)) / 12.0;
    let plastic = |b: f64, h: f64, bi: f64, hi: f64| (b * h * h - bi * hi * hi) / 4.0;
    let (b, h) = (across, depth);
    Hollow {
        form: Form::Box { across, depth },
        wall,
        area: b * h - bi * hi,
        elastic: [second(b, h, bi, hi) * 2.0 / h, second(h, b, hi, bi) * 2.0 / b],
        plastic: [plastic(b, h, bi, hi), plastic(h, b, hi, bi)],
        twist: 2.0 * (b - wall) * (h - wall) * wall,
        steel: S355,
    }
}

pub fn chord(section: Hollow) -> Chord {
    Chord { name: "chord".into(), section, before: [0.0; 3], after: [0.0; 3], bending: [[0.0; 2]; 2] }
}

pub fn brace(name: &str, section: Hollow, angle: f64, tension: f64) -> Brace {
    Brace {
        name: name.into(),
        section,
        angle: rad(angle),
        azimuth: 0.0,
        station: 0.0,
        aside: 0.0,
        skew: 0.0,
        tension,
        in_plane: 0.0,
        out_of_plane: 0.0,
        torque: 0.0,
        shear: 0.0,
    }
}

/// Moves two braces along the chord until their footprints are `gap` apart: `a` leans back, `b` forward.
pub fn apart(mut a: Brace, mut b: Brace, gap: f64, depth: f64) -> [Brace; 2] {
    let foot = |x: &Brace| (depth / 2.0 / x.angle.tan(), x.section.depth() / 2.0 / x.angle.sin());
    let ((xa, ha), (xb, hb)) = (foot(&a), foot(&b));
    let step = gap + ha + hb + xa - xb;
    (a.station, b.station) = (-step / 2.0, step / 2.0);
    [a, b]
}

pub fn checked(r: &Report) -> &Checked {
    r.outcome.as_ref().unwrap_or_else(|e| panic!("{}: {e:?}", r.brace))
}

pub fn refused(node: &Node, i: usize) -> NotChecked {
    check(node, &Rules::default())[i].outcome.clone().expect_err("not to be checked")
}

pub fn value(c: &Checked, kind: Kind, mode: Mode) -> f64 {
    let part = c.parts.iter().find(|p| p.kind == kind).unwrap_or_else(|| panic!("no {kind:?}: {c:?}"));
    part.modes.iter().find(|m| m.mode == mode).unwrap_or_else(|| panic!("no {mode:?}: {c:?}")).value
}

pub fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by * b.abs(), "{a} is not {b}");
}

pub fn opposite(mut b: Brace) -> Brace {
    b.azimuth += PI;
    b.name += " below";
    b
}

/// A generator of plain numbers between 0 and 1, the same on every run.
pub struct Numbers(pub u64);

impl Numbers {
    pub fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.next()
    }
}
