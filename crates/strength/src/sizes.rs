//! One size smaller.

use design::{Design, SectionShape, builtin_sections};

use crate::sections::Profile;

/// Outsides that differ by no more are one, m: sizes come from inches and millimetres.
const SAME_OUTSIDE: f64 = 5e-5;

/// A size and what it has.
#[derive(Clone, Debug)]
pub(crate) struct Size {
    pub name: String,
    pub profile: Profile,
}

fn outside(s: &SectionShape) -> [f64; 2] {
    match *s {
        SectionShape::Round { od, .. } => [od; 2],
        SectionShape::Box { width, height, .. } => [width, height],
    }
}

fn alike(a: &SectionShape, b: &SectionShape) -> bool {
    matches!(a, SectionShape::Round { .. }) == matches!(b, SectionShape::Round { .. })
}

/// Whether every stiffness of `a` is less than that of `b`.
fn softer(a: &Profile, b: &Profile) -> bool {
    let all = |p: &Profile| {
        let s = &p.section;
        let [u, v] = s.shear_areas.map(|x| s.shear * x);
        [s.youngs * s.area, u, v, s.youngs * s.second[0], s.youngs * s.second[1], s.shear * s.torsion]
    };
    all(a).iter().zip(all(b)).all(|(x, y)| *x < y)
}

/// The next smaller size of a section: the heaviest of the design's own that is lighter, no larger outside and of the same
/// outline and material; or else, of the built-in sizes with its outside, the next thinner wall. `None` if there is none.
pub(crate) fn smaller(design: &Design, profiles: &[Profile], section: usize) -> Option<Size> {
    let s = &design.sections[section];
    let p = &profiles[section];
    let weight = |p: &Profile| p.section.area * p.section.density;
    let fits =
        |o: &SectionShape| alike(o, &s.shape) && (0..2).all(|k| outside(o)[k] <= outside(&s.shape)[k] + SAME_OUTSIDE);
    let own = design
        .sections
        .iter()
        .zip(profiles)
        .filter(|(o, q)| o.material == s.material && fits(&o.shape) && weight(q) < weight(p) && softer(q, p))
        .max_by(|a, b| weight(a.1).total_cmp(&weight(b.1)));
    if let Some((o, q)) = own {
        return Some(Size { name: o.name.clone(), profile: *q });
    }
    let material = &design.materials[s.material.0];
    let same = |o: &SectionShape| {
        alike(o, &s.shape) && (0..2).all(|k| (outside(o)[k] - outside(&s.shape)[k]).abs() <= SAME_OUTSIDE)
    };
    builtin_sections()
        .iter()
        .filter(|b| same(&b.shape) && b.shape.wall() < s.shape.wall())
        .map(|b| Size { name: b.name.clone(), profile: Profile::new(&b.shape, material) })
        .filter(|z| softer(&z.profile, p))
        .max_by(|a, b| weight(&a.profile).total_cmp(&weight(&b.profile)))
}
