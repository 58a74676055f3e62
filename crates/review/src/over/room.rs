//! What is left of people's room over the ground.

use geometry::convex::Core;
use geometry::{Convex, DVec2, DVec3};
use rollover::Attitude;
use shape::Shape;
use shape::bodies::BodyKind;
use tumble::Ball;

/// One person's room in one attitude.
#[derive(Clone, Debug, serde::Serialize)]
pub struct PersonRoom {
    /// Whose.
    pub name: String,
    /// Part by part, the least over the ground first.
    pub parts: Vec<PartRoom>,
}

/// A part of a person over the ground.
#[derive(Clone, Debug, serde::Serialize)]
pub struct PartRoom {
    /// Which part.
    pub part: &'static str,
    /// Over hard ground, m; negative in it.
    pub hard: f64,
    /// Over soft ground into which what it rests on has sunk in the worst way, m.
    pub soft: f64,
    /// The place that is nearest to the ground, m, in the frame's axes.
    pub at: DVec3,
}

impl PartRoom {
    /// Over one of both grounds, m.
    pub fn over(&self, soft: bool) -> f64 {
        if soft { self.soft } else { self.hard }
    }
}

impl PersonRoom {
    /// The part that is nearest to one of both grounds: over sunk ground it may be another than over hard.
    pub fn nearest(&self, soft: bool) -> Option<&PartRoom> {
        self.parts.iter().min_by(|a, b| a.over(soft).total_cmp(&b.over(soft)))
    }
}

/// Of all people, the one who is nearest to one of both grounds, and the part.
pub fn nearest(people: &[PersonRoom], soft: bool) -> Option<(&PersonRoom, &PartRoom)> {
    people.iter().filter_map(|p| Some((p, p.nearest(soft)?))).min_by(|a, b| a.1.over(soft).total_cmp(&b.1.over(soft)))
}

/// Every person's room over the ground of an attitude.
pub fn people(shape: &Shape, a: &Attitude, centre: DVec3, soft: f64) -> Vec<PersonRoom> {
    let ground = a.normal.dot(centre) + a.height;
    let sunk = Sunk::new(a, soft);
    shape
        .bodies
        .iter()
        .filter(|b| b.kind == BodyKind::Occupant)
        .map(|b| {
            let mut parts: Vec<PartRoom> = Vec::new();
            for (part, room) in &b.parts {
                let at = room.farthest(a.normal);
                let hard = ground - a.normal.dot(at);
                // Sunk ground slopes: it may come nearest to another end, or another limb, than hard ground does.
                let over = |c: DVec3| sunk.least(ground - a.normal.dot(c), c, room.margin);
                let soft = corners(room).into_iter().map(over).fold(f64::INFINITY, f64::min);
                match parts.iter_mut().find(|q| q.part == *part) {
                    Some(q) => {
                        q.soft = q.soft.min(soft);
                        if hard < q.hard {
                            (q.hard, q.at) = (hard, at);
                        }
                    }
                    None => parts.push(PartRoom { part, hard, soft, at }),
                }
            }
            parts.sort_by(|a, b| a.hard.total_cmp(&b.hard));
            PersonRoom { name: b.name.clone(), parts }
        })
        .collect()
}

/// Ground into which some of what it rests on has sunk by up to a depth, and some less: every plane that lies between
/// the hard ground and that depth above it at each place of contact. A ball's distance from a plane is a quotient of a linear
/// and a convex function of the plane's height and slopes, so it is least for one of those that are as high or as low as they
/// can be at three of the places.
struct Sunk {
    frame: (DVec3, DVec3),
    /// Height and slopes in the frame: z = p.x + p.y a + p.z b, and how much longer a way straight up to it is than square.
    planes: Vec<(DVec3, f64)>,
}

/// Places of contact beyond this number are thinned: the outermost in as many directions.
const MOST: usize = 12;

impl Sunk {
    fn new(a: &Attitude, soft: f64) -> Sunk {
        let frame = a.normal.any_orthonormal_pair();
        let flat = |p: &DVec3| DVec2::new(p.dot(frame.0), p.dot(frame.1));
        let all: Vec<DVec2> = a.contacts.iter().flat_map(|c| &c.at).map(flat).collect();
        let mut places: Vec<DVec2> = Vec::new();
        for k in 0..MOST {
            let d = DVec2::from_angle(std::f64::consts::TAU * k as f64 / MOST as f64);
            if let Some(p) = all.iter().copied().max_by(|p, q| p.dot(d).total_cmp(&q.dot(d)))
                && places.iter().all(|q| q.distance(p) > geometry::SAME_PLACE)
            {
                places.push(p);
            }
        }
        let n = places.len();
        let mut planes = vec![DVec3::X * soft];
        for i in 0..n {
            for j in i + 1..n {
                for k in j + 1..n {
                    let (u, v) = (places[j] - places[i], places[k] - places[i]);
                    let area = u.perp_dot(v);
                    // Three places nearly in a line do not carry a plane.
                    if area.abs() < 1e-3 * u.length() * v.length() {
                        continue;
                    }
                    for bits in 1..8 {
                        let z = |b: usize| if bits >> b & 1 == 1 { soft } else { 0.0 };
                        let (dz1, dz2) = (z(1) - z(0), z(2) - z(0));
                        let slope = DVec2::new(dz1 * v.y - dz2 * u.y, dz2 * u.x - dz1 * v.x) / area;
                        let plane = DVec3::new(z(0) - slope.dot(places[i]), slope.x, slope.y);
                        let height = |p: &DVec2| plane.x + plane.y * p.x + plane.z * p.y;
                        if places.iter().all(|p| (-1e-9..=soft + 1e-9).contains(&height(p))) {
                            planes.push(plane);
                        }
                    }
                }
            }
        }
        if planes.len() == 1
            && let Some((p, q)) = farthest_apart(&places)
        {
            // On a line of contact it may sink more at one end. Across the line it stays level.
            let slope = (q - p) * (soft / q.distance_squared(p));
            planes.extend([(p, slope), (q, -slope)].map(|(low, s)| DVec3::new(-s.dot(low), s.x, s.y)));
        }
        let planes = planes.into_iter().map(|p| (p, 1f64.hypot(p.y.hypot(p.z)))).collect();
        Sunk { frame, planes }
    }

    /// The least distance, m, of a ball whose centre lies so high over hard ground.
    fn least(&self, height: f64, centre: DVec3, radius: f64) -> f64 {
        let (x, y) = (centre.dot(self.frame.0), centre.dot(self.frame.1));
        let over = |(p, longer): &(DVec3, f64)| (height - p.x - p.y * x - p.z * y) / longer;
        self.planes.iter().map(over).fold(f64::INFINITY, f64::min) - radius
    }
}

fn farthest_apart(places: &[DVec2]) -> Option<(DVec2, DVec2)> {
    let pairs = places.iter().flat_map(|p| places.iter().map(move |q| (*p, *q)));
    pairs.max_by(|a, b| a.0.distance(a.1).total_cmp(&b.0.distance(b.1))).filter(|(p, q)| p != q)
}

/// Everybody's room as balls over which a plane can be held, and whose and what each is.
pub fn balls(shape: &Shape) -> (Vec<Ball>, Vec<(String, &'static str)>) {
    let (mut balls, mut parts): (Vec<Ball>, Vec<(String, &'static str)>) = (Vec::new(), Vec::new());
    for b in shape.bodies.iter().filter(|b| b.kind == BodyKind::Occupant) {
        for (part, room) in &b.parts {
            let whose = (b.name.clone(), *part);
            let index = parts.iter().position(|p| *p == whose).unwrap_or_else(|| {
                parts.push(whose);
                parts.len() - 1
            });
            balls.extend(corners(room).into_iter().map(|centre| Ball { part: index, centre, radius: room.margin }));
        }
    }
    (balls, parts)
}

/// Points whose hull is a rounded body's core. A plane meets a capsule first at one of its two end balls. A circle stands
/// as a polygon round it.
fn corners(room: &Convex) -> Vec<DVec3> {
    match &room.core {
        Core::Segment(a, b) => vec![*a, *b],
        Core::Block(f, h) => (0..8)
            .map(|k| {
                let s = |bit: usize| if k >> bit & 1 == 0 { -1.0 } else { 1.0 };
                f.origin + f.t * (s(0) * h.x) + f.u * (s(1) * h.y) + f.v * (s(2) * h.z)
            })
            .collect(),
        Core::Cylinder(f, half, r) => (0..24)
            .flat_map(|k| {
                let q = DVec2::from_angle(std::f64::consts::TAU * f64::from(k) / 24.0)
                    * (*r / (std::f64::consts::PI / 24.0).cos());
                [-*half, *half].map(|s| f.origin + f.t * s + f.u * q.x + f.v * q.y)
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rollover::{Contact, Kind};

    fn rests_on(at: &[DVec3]) -> Attitude {
        Attitude {
            normal: DVec3::NEG_Z,
            rotation: [0.0, 0.0, 0.0, 1.0],
            kind: Kind::Flat,
            height: 0.5,
            foot: DVec3::ZERO,
            contacts: vec![Contact { body: "a".into(), at: at.to_vec() }],
            edges: Vec::new(),
            margin: None,
            worst: None,
            shallow: false,
            marginal: false,
            share: 1.0,
        }
    }

    #[test]
    fn sunk_ground_by_hand() {
        // Four places 2 m apart, one pair sunk by 0.1 m: the ground rises by 0.05 for each metre and stands 0.2 m high
        // under a ball 3 m away, which is nearest to it square to the slope. Beneath the middle it rises by 0.1 at most.
        let square = [(1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (-1.0, 1.0)].map(|(x, y)| DVec3::new(x, y, 0.0));
        let sunk = Sunk::new(&rests_on(&square), 0.1);
        let far = sunk.least(1.0, DVec3::new(3.0, 0.0, 1.0), 0.2);
        assert!((far - (0.8 / (1.0f64 + 0.05 * 0.05).sqrt() - 0.2)).abs() < 1e-12, "{far}");
        let middle = sunk.least(1.0, DVec3::new(0.0, 0.0, 1.0), 0.2);
        assert!((middle - 0.7).abs() < 1e-12, "{middle}");
        // On a line of contact: the same slope along it, and none across.
        let sunk = Sunk::new(&rests_on(&[DVec3::NEG_X, DVec3::X]), 0.1);
        for (place, level) in [(DVec3::X * 3.0, false), (DVec3::X * -3.0, false), (DVec3::Y * 3.0, true)] {
            let told = sunk.least(1.0, place + DVec3::Z, 0.2);
            let want = if level { 0.7 } else { far };
            assert!((told - want).abs() < 1e-12, "{place}: {told}");
        }
    }

    #[test]
    fn no_plane_between_hard_and_sunk_ground_comes_nearer_and_some_come_as_near() {
        let mut rng = 5u64;
        let mut next = move || {
            rng = rng.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (rng >> 11) as f64 / (1u64 << 53) as f64
        };
        for n in [3, 4, 5] {
            let at: Vec<DVec3> = (0..n)
                .map(|k| {
                    let a = std::f64::consts::TAU * (f64::from(k) + 0.3 * next()) / f64::from(n);
                    DVec3::new(a.cos(), a.sin(), 0.0)
                })
                .collect();
            let sunk = Sunk::new(&rests_on(&at), 0.1);
            for (place, radius) in
                [(DVec3::ZERO, 0.1), (DVec3::new(0.3, -0.2, 0.0), 0.3), (DVec3::X * 1.5, 0.2), (DVec3::X * -2.0, 0.15)]
            {
                let height = 1.2;
                let said = sunk.least(height, place + DVec3::Z * height, radius);
                let mut best = height - 0.1 - radius;
                for _ in 0..200_000 {
                    // A plane through random heights at three of the places, if it lies within at all.
                    let z: [f64; 3] =
                        std::array::from_fn(|_| if next() < 0.5 { 0.1 * next() } else { 0.1 * next().round() });
                    let k = (next() * f64::from(n)) as usize % at.len();
                    let (p, q, r) = (at[k], at[(k + 1) % at.len()], at[(k + 2) % at.len()]);
                    let m = glam::DMat3::from_cols(
                        DVec3::new(1.0, 1.0, 1.0),
                        DVec3::new(p.x, q.x, r.x),
                        DVec3::new(p.y, q.y, r.y),
                    );
                    let c = m.inverse() * DVec3::from_array(z);
                    let rise = |p: DVec3| c.x + c.y * p.x + c.z * p.y;
                    if at.iter().all(|p| (-1e-12..=0.1 + 1e-12).contains(&rise(*p))) {
                        let normal = DVec3::new(-c.y, -c.z, 1.0).normalize();
                        best = best.min(normal.dot(DVec3::new(place.x, place.y, height - c.x)) - radius);
                    }
                }
                assert!(best >= said - 1e-9, "{n}: {best} is less than {said}");
                assert!(best < said + 0.02, "{n}: {best} is far from {said}");
            }
        }
    }
}
