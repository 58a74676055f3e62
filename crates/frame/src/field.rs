//! How a beam moves between its nodes, and the matrices that follow: mass, and stiffness from the force it carries.

use geometry::{DMat3, DVec3, Frame};

use crate::element::Element;
use crate::flexibility::{gives, points, points_of};
use crate::model::{Beam, Model, Piece, Section};
use crate::six::{Mat6, cross};

/// Where a section of a beam is, how it moves with the nodes, and how fast that changes along the beam.
struct At {
    frame: Frame,
    weight: f64,
    /// Motion from the motions of the two nodes.
    moves: [Mat6; 2],
    /// Slope of the displacement along the beam, and twist and curvature, from the motions of the two nodes.
    strains: [Mat6; 2],
}

/// Gauss points that integrate the square of a cubic exactly.
const FOUR: &[(f64, f64)] = &[
    (-0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
    (-0.339_981_043_584_856_26, 0.652_145_154_862_546_1),
    (0.339_981_043_584_856_26, 0.652_145_154_862_546_1),
    (0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
];

/// How far the place at `s` moves, seen from the start, for each force and moment on the beam's end.
fn partial(p: &Piece, section: &Section, s: f64, end: DVec3) -> Mat6 {
    let here = p.segment.point(s);
    let (mut a, mut b) = (DMat3::ZERO, DMat3::ZERO);
    let (mut c, mut d) = (DMat3::ZERO, DMat3::ZERO);
    points(&p.part(0.0, s), |f, w, _| {
        let (stretch, bend) = gives(&f, section);
        let (near, far) = (cross(here - f.origin), cross(end - f.origin));
        a += (stretch + near.transpose() * bend * far) * w;
        b += near.transpose() * bend * w;
        c += bend * far * w;
        d += bend * w;
    });
    Mat6::blocks(a, b, c, d)
}

/// The field at the Gauss points of a beam of one piece.
fn field(beam: &Beam, element: &Element, section: &Section, nodes: [DVec3; 2]) -> Vec<At> {
    let p = &beam.pieces[0];
    let end = beam.end();
    // What acts on the end, from the nodes' motions.
    let [a, b] = element.arms.map(|r| element.stiffness.carried(r));
    let force = [a.scaled(-1.0), b];
    let mut out = Vec::new();
    points_of(p, FOUR, |f, weight, ahead| {
        let s = p.segment.length() - ahead;
        let give = partial(p, section, s, end);
        let mut moves = [give.times(&force[0]), give.times(&force[1])];
        moves[0].add(&Mat6::carry(f.origin - nodes[0]));
        let (stretch, bend) = gives(&f, section);
        let local = Mat6::blocks(stretch, DMat3::ZERO, bend * cross(end - f.origin), bend);
        // u' = θ × t + C_f F: the turn's part from the motions.
        let mut strains = [local.times(&force[0]), local.times(&force[1])];
        let across = cross(f.t).transpose();
        for (s, m) in strains.iter_mut().zip(&moves) {
            s.add(&Mat6::blocks(DMat3::ZERO, across, DMat3::ZERO, DMat3::ZERO).times(m));
        }
        out.push(At { frame: f, weight, moves, strains });
    });
    out
}

fn outer(a: DVec3) -> DMat3 {
    DMat3::from_cols(a * a.x, a * a.y, a * a.z)
}

/// ∫ Nᵀ m N over the beam: blocks (start, start), (start, end), (end, end).
fn integrate(points: &[At], of: impl Fn(&At) -> &[Mat6; 2], weigh: impl Fn(&At) -> Mat6) -> [Mat6; 3] {
    let mut out = [Mat6::ZERO; 3];
    for p in points {
        let w = weigh(p).scaled(p.weight);
        let [a, b] = of(p);
        for (o, (l, r)) in out.iter_mut().zip([(a, a), (a, b), (b, b)]) {
            o.add(&w.between(l, r));
        }
    }
    out
}

/// Mass of a beam of one piece, moving as it does under slow loads on its nodes; with the inertia of its sections' turns.
pub(crate) fn mass(model: &Model, beam: &Beam, element: &Element) -> [Mat6; 3] {
    let s = &model.sections[beam.section];
    let at = field(beam, element, s, beam.nodes.map(|n| model.nodes[n]));
    integrate(
        &at,
        |p| &p.moves,
        |p| {
            let f = &p.frame;
            let turn = (outer(f.t) * (s.second[0] + s.second[1]) + outer(f.u) * s.second[0] + outer(f.v) * s.second[1])
                * s.density;
            Mat6::blocks(DMat3::IDENTITY * (s.density * s.area), DMat3::ZERO, DMat3::ZERO, turn)
        },
    )
}

/// Stiffness of a beam of one piece from the tension it carries: N (u'² + v'² + (I_p/A) φ'²), with u', v' the slopes across
/// it and φ' its twist.
pub(crate) fn geometric(model: &Model, beam: &Beam, element: &Element, tension: impl Fn(&Frame) -> f64) -> [Mat6; 3] {
    let s = &model.sections[beam.section];
    let at = field(beam, element, s, beam.nodes.map(|n| model.nodes[n]));
    let polar = (s.second[0] + s.second[1]) / s.area;
    integrate(
        &at,
        |p| &p.strains,
        |p| {
            let n = tension(&p.frame);
            let t = outer(p.frame.t);
            Mat6::blocks((DMat3::IDENTITY - t) * n, DMat3::ZERO, DMat3::ZERO, t * (n * polar))
        },
    )
}
