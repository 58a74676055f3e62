//! Directions in which a piece may leave.

use geometry::DVec3;

use super::straight::INTO;

/// Directions spread over the sphere, each with its mirror image: the nearest is nowhere farther than 12 degrees.
const SPREAD: usize = 160;

/// Rounds of projection on the faces of the contact cone.
const ROUNDS: usize = 40;

/// Directions nearer than this are tried once: a degree and a half.
const ALIKE: f64 = 0.026;

/// Normals of which the cone's edges are taken, per end.
const EDGES: usize = 9;

/// Directions to try: the axes, a lattice as far as it may be free, the same brought into the cone of contact, and that cone's edges. Normals come
/// in groups, one an end.
pub fn candidates(groups: &[Vec<DVec3>]) -> Vec<DVec3> {
    let normals: Vec<DVec3> = groups.iter().flatten().copied().collect();
    let mut out: Vec<DVec3> = Vec::new();
    let mut add = |d: DVec3| {
        if let Some(d) = d.try_normalize()
            && d.is_finite()
            && !out.iter().any(|o| o.distance(d) < ALIKE)
        {
            out.push(d);
        }
    };
    // The cone's edges first: they are exact, and what is alike is dropped after.
    let few = |list: &Vec<DVec3>| list.iter().step_by((list.len() / EDGES).max(1)).copied().collect::<Vec<_>>();
    let edge: Vec<DVec3> = groups.iter().flat_map(few).collect();
    for (k, a) in edge.iter().enumerate() {
        for b in &edge[k + 1..] {
            let d = a.cross(*b);
            // Of nearly parallel normals the direction is noise.
            if d.length() > 0.05 {
                for d in [d.normalize(), -d.normalize()] {
                    if least(&normals, d) > -5e-3 {
                        add(d);
                    }
                }
            }
        }
    }
    for d in DVec3::AXES {
        add(d);
        add(-d);
    }
    for d in spread() {
        add(project(&normals, d));
    }
    for d in spread().filter(|d| least(&normals, *d) > INTO) {
        add(d);
    }
    out
}

/// Directions spread over the sphere, each with its mirror image, so that twins are asked the same.
pub fn spread() -> impl Iterator<Item = DVec3> {
    (0..SPREAD).map(|k| lattice(k, SPREAD)).flat_map(|d| [d, DVec3::new(d.x, -d.y, d.z)])
}

/// The k-th of n points spread evenly over the sphere.
fn lattice(k: usize, n: usize) -> DVec3 {
    const GOLDEN: f64 = 2.399_963_229_728_653;
    let z = 1.0 - (2.0 * k as f64 + 1.0) / n as f64;
    let (s, c) = (GOLDEN * k as f64).sin_cos();
    let r = (1.0 - z * z).max(0.0).sqrt();
    DVec3::new(r * c, r * s, z)
}

/// The 26 directions along axes and halfway between them, which a person can be told: the upward ones first, of these the
/// ones to the front, of these the ones to one side (1 or -1), so that mirror images are asked the same.
pub fn plain(side: f64) -> impl Iterator<Item = DVec3> {
    let steps = || [0.0, 1.0, -1.0];
    [1.0, 0.0, -1.0]
        .into_iter()
        .flat_map(move |z| {
            steps().into_iter().flat_map(move |x| steps().map(move |y| DVec3::new(x, side * y + 0.0, z)))
        })
        .filter_map(DVec3::try_normalize)
}

/// Least n · d.
pub fn least(normals: &[DVec3], d: DVec3) -> f64 {
    normals.iter().map(|n| n.dot(d)).fold(f64::INFINITY, f64::min)
}

fn project(normals: &[DVec3], d: DVec3) -> DVec3 {
    let mut d = d;
    for _ in 0..ROUNDS {
        for n in normals {
            let h = n.dot(d);
            if h < 0.0 {
                d -= *n * h;
            }
        }
        // What is left near nothing points nowhere.
        if d.length() < 0.05 {
            return DVec3::ZERO;
        }
    }
    d
}

/// Eight directions round one, at an angle.
pub fn round(d: DVec3, angle: f64) -> [DVec3; 8] {
    let u = geometry::frame::any_across(d);
    let v = d.cross(u);
    std::array::from_fn(|k| {
        let (s, c) = (k as f64 * std::f64::consts::FRAC_PI_4).sin_cos();
        d * angle.cos() + (u * c + v * s) * angle.sin()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lattice_covers_the_sphere() {
        for k in 0..500 {
            let d = lattice(k, 500);
            let image = |d: DVec3| DVec3::new(d.x, -d.y, d.z);
            let at = |j: usize| lattice(j, SPREAD).dot(d).max(image(lattice(j, SPREAD)).dot(d));
            let near = (0..SPREAD).map(at).fold(-1.0, f64::max).acos();
            assert!(near < 12f64.to_radians(), "{near}");
        }
    }
}
