//! The model as an input deck for CalculiX, one for each case: `docs/methods/load-sets.md` says what is in it.

use std::fmt::Write as _;

use frame::{Beam, Frame, Hold, Loads, Model, handed_on, six};
use geometry::{DVec3, Segment};
use shape::Shape;

use crate::cases::{Case, NoCase, own};
use crate::places::Placed;
use crate::rest::{Lying, at_rest};
use crate::sets::Plan;

/// Largest angle of a part of a bend that is written as a chord: its middle is then a thousandth of the radius off.
const ANGLE: f64 = std::f64::consts::PI / 36.0;

/// A shear coefficient at which shear deformation is nothing: user element U1 is exact without it, and with it needs
/// sixteen parts to a tube for 0.03 %.
const STIFF: f64 = 1e6;

/// A section that twists with more than this part of I11 + I22 does so with all of it.
const ROUND: f64 = 1.0 - 1e-9;

/// What is left to the second direction of an element, and of the area to the second one of a pair, as a part of the
/// whole: CalculiX 2.20 gets I22 wrong where two elements meet, the more the shorter they
/// are (half of the answer at 1e-6 and sixty parts to a quarter of a ring, 1e-6 of it at 1e-12), and needs more than 0.
const LEFT: f64 = 1e-13;

/// A beam's end nearer to its node than this is at it, m.
const AT: f64 = 1e-9;

/// A deck.
#[derive(Clone, Debug, PartialEq)]
pub struct Deck {
    /// The case's name.
    pub name: String,
    /// The file, without its folder.
    pub file: String,
    /// What is in it.
    pub text: String,
}

/// A deck for each case, and the cases that can't be written.
pub fn decks(shape: &Shape, attitudes: &[Lying]) -> (Vec<Deck>, Vec<NoCase>) {
    let plan = Plan::new(shape);
    let mut spots = plan.spots.clone();
    spots.extend(crate::rest::spots(shape, attitudes));
    let mut placed = Placed::with(shape, &spots);
    placed.hang(shape);
    let (mut cases, mut without) = (Vec::new(), Vec::new());
    let mut add = |r: Result<Case, NoCase>| match r {
        Ok(c) => cases.push(c),
        Err(e) => without.push(e),
    };
    shape.design.loads.iter().for_each(|l| add(own(shape, &placed, l)));
    let (published, none) = plan.cases(&placed);
    published.into_iter().for_each(|c| add(Ok(c)));
    none.into_iter().for_each(|n| add(Err(n)));
    if let Ok(frame) = Frame::new(placed.built.model.clone()) {
        at_rest(shape, &placed, &frame, attitudes).0.into_iter().for_each(&mut add);
    }
    let chords = Chords::new(shape, &placed);
    let mut out = Vec::new();
    for c in &cases {
        match chords.deck(shape, &placed, c, out.len() + 1) {
            Ok(d) => out.push(d),
            Err(why) => without.push(NoCase {
                name: c.name.clone(),
                why,
                help: "`tubewright strength FILE` says what is wrong".to_owned(),
            }),
        }
    }
    (out, without)
}

/// The frame in straight parts without shear deformation: what the deck has.
struct Chords {
    model: Model,
    /// Each part's beam.
    of: Vec<usize>,
}

/// A comment that is one line of plain text.
fn comment(out: &mut String, words: &str) {
    let plain: String = words.chars().map(|c| if c.is_ascii() && !c.is_ascii_control() { c } else { '?' }).collect();
    let _ = writeln!(out, "** {plain}");
}

impl Chords {
    fn new(shape: &Shape, placed: &Placed) -> Chords {
        let cut = placed.built.model.refined(|_, p| match p.segment {
            Segment::Arc { sweep, .. } => (sweep / ANGLE).ceil() as usize,
            Segment::Leg { .. } => 1,
        });
        let mut model = cut.model;
        for s in &mut model.sections {
            s.shear_areas = [f64::INFINITY; 2];
        }
        for (b, of) in model.beams.iter_mut().zip(&cut.of) {
            let places = [b.start(), b.end()];
            let box_ = !placed.built.profiles[shape.tubes[placed.built.beams[*of].0].section.0].round;
            let u = b.pieces[0].frame.u;
            let towards = if box_ { u } else { (places[1] - places[0]).any_orthogonal_vector() };
            if let Some(straight) = Beam::straight(b.nodes, places, b.section, towards) {
                *b = straight;
            }
        }
        Chords { model, of: cut.of }
    }

    /// Loads on nodes alone: what is spread, and weights, as the forces and moments that a part held at both ends gives on.
    fn loads(&self, case: &Case) -> Vec<six::Six> {
        let m = &self.model;
        let mut out = vec![[0.0; 6]; m.nodes.len()];
        let mut add = |n: usize, f: six::Six| out[n] = six::sum(&out[n], &f);
        case.loads.nodal.iter().for_each(|(n, f)| add(*n, *f));
        for l in &m.lumps {
            let weight = six::six(case.loads.field * l.mass, DVec3::ZERO);
            handed_on(l.at, &l.nodes, &m.nodes, &weight).into_iter().for_each(|(n, f)| add(n, f));
        }
        for (i, b) in m.beams.iter().enumerate() {
            let s = &m.sections[b.section];
            let spread: DVec3 = case.loads.spread.iter().filter(|x| x.0 == self.of[i]).map(|x| x.1).sum();
            let q = spread + case.loads.field * (s.density * s.area);
            let along = b.end() - b.start();
            for (n, at, sign) in [(b.nodes[0], b.start(), 1.0), (b.nodes[1], b.end(), -1.0)] {
                let force = q * (along.length() / 2.0);
                // q L²/12 about the ends.
                let moment = along.cross(q) * (sign * along.length() / 12.0) + (at - m.nodes[n]).cross(force);
                add(n, six::six(force, moment));
            }
        }
        out
    }

    fn deck(&self, shape: &Shape, placed: &Placed, case: &Case, number: usize) -> Result<Deck, String> {
        let m = &self.model;
        let nodal = self.loads(case);
        let loads = Loads { nodal: nodal.iter().copied().enumerate().collect(), ..Loads::default() };
        // Weights are among the loads; the masses themselves have nothing more to do.
        let bare = Model { lumps: Vec::new(), ..m.clone() };
        let failed = || "the frame is not held, or can't be calculated with".to_owned();
        let frame = Frame::new(bare).map_err(|_| failed())?;
        let held = frame.held(&case.holds).map_err(|_| failed())?;
        let answer = held.solve(std::slice::from_ref(&loads)).map_err(|_| failed())?.remove(0);
        let mut t = String::new();
        let built = &placed.built;
        comment(
            &mut t,
            "A frame of tubes under one load, as input for CalculiX: linear statics, to be worked out a second time.",
        );
        comment(
            &mut t,
            "Left out: yielding, buckling, large motions, vibration, welds as made and metal weakened by heat, the give of",
        );
        comment(&mut t, "walls at joints, dents, fatigue, dynamic effects, shear deformation.");
        comment(&mut t, &format!("design: {}", shape.design.name));
        comment(&mut t, &format!("case: {} ({})", case.name, case.source));
        comment(&mut t, &format!("held by: {}", case.carried));
        if let Some(p) = &case.published {
            for (key, words) in
                [("edition", p.edition), ("scales with", &p.scales), ("accepted", &p.accepts), ("where", &p.places)]
            {
                comment(&mut t, &format!("{key}: {words}"));
            }
        }
        comment(&mut t, "units: m, N, N m, Pa, rad; x forward, y left, z up");
        comment(
            &mut t,
            "elements: U1, straight beams without shear deformation; bends are chords of 5 degrees at most.",
        );
        comment(
            &mut t,
            "each tube is there twice, once for bending along each direction of its section: I22 of U1 is at fault in version 2.20.",
        );
        comment(
            &mut t,
            "U1 twists with I11 + I22, which is too much for boxes: their sections are in two parts, of which one does not twist.",
        );
        comment(&mut t, "Weights and spread forces are forces and moments on nodes.");
        comment(&mut t, "A calculation on an ideal frame: local rules and a licensed engineer prevail.");
        if case.holds.iter().any(|h| h.by != 0.0) {
            comment(
                &mut t,
                "a support is moved: CalculiX 2.20 leaves that out of what U1 does to the other nodes, and is wrong here",
            );
        }
        let _ = writeln!(t, "*NODE, NSET=ALL");
        let line = |t: &mut String, n: usize, p: DVec3| {
            let _ = writeln!(t, "{n}, {:.12e}, {:.12e}, {:.12e}", p.x, p.y, p.z);
        };
        for (n, p) in m.nodes.iter().enumerate() {
            if let Some(name) = built.names.get(n) {
                comment(&mut t, &format!("node {}: {name}", n + 1));
            }
            line(&mut t, n + 1, *p);
        }
        // Ends of beams beside their nodes have nodes of their own, and a rigid link.
        let mut next = m.nodes.len() + 1;
        let mut links: Vec<(usize, usize, DVec3)> = Vec::new();
        let ends: Vec<[usize; 2]> = m
            .beams
            .iter()
            .map(|b| {
                [(b.nodes[0], b.start()), (b.nodes[1], b.end())].map(|(n, at)| {
                    if at.distance(m.nodes[n]) < AT {
                        return n + 1;
                    }
                    links.push((next, n + 1, at - m.nodes[n]));
                    comment(&mut t, &format!("node {next}: rigidly linked to node {}", n + 1));
                    line(&mut t, next, at);
                    next += 1;
                    next - 1
                })
            })
            .collect();
        let next = self.elements(shape, placed, &ends, next, &mut t);
        for (end, n, r) in links {
            link(&mut t, end, n, r);
        }
        // What is moved by an amount is so in the step.
        let moved = supports(&mut t, &case.holds, &m.nodes, next);
        let _ = writeln!(t, "*STEP\n*STATIC\n*BOUNDARY\n{moved}*CLOAD");
        for (n, f) in nodal.iter().enumerate() {
            for (k, x) in f.iter().enumerate().filter(|x| *x.1 != 0.0) {
                let _ = writeln!(t, "{}, {}, {x:.12e}", n + 1, k + 1);
            }
        }
        let _ = writeln!(t, "*NODE PRINT, NSET=ALL\nU\n*END STEP");
        comment(&mut t, "what Tubewright makes of this very model: node, then ways in m and turns in rad");
        for (n, u) in answer.motions.iter().enumerate() {
            let list: Vec<String> = u.iter().map(|x| format!("{x:.17e}")).collect();
            comment(&mut t, &format!("answer {} {}", n + 1, list.join(" ")));
        }
        let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' || c == '_' { c } else { '_' };
        let file = format!("{number:03}_{}.inp", case.name.chars().map(plain).collect::<String>());
        Ok(Deck { name: case.name.clone(), file, text: t })
    }

    /// Elements with their sections, one group for each tube and direction of its section.
    fn elements(&self, shape: &Shape, placed: &Placed, ends: &[[usize; 2]], mut next: usize, t: &mut String) -> usize {
        let m = &self.model;
        let _ = writeln!(t, "*USER ELEMENT, TYPE=U1, NODES=2, INTEGRATION POINTS=2, MAXDOF=6");
        let key = |i: usize| (placed.built.beams[self.of[i]].0, m.beams[i].pieces[0].frame.u);
        let mut first = 0;
        let mut group = 0;
        while first < m.beams.len() {
            let last = (first..m.beams.len()).find(|&i| key(i) != key(first)).unwrap_or(m.beams.len());
            let (tube, u) = key(first);
            let s = &m.sections[m.beams[first].section];
            group += 1;
            comment(t, &format!("B{group}: tube {}", shape.tubes[tube].name));
            let polar = s.second[0] + s.second[1];
            let part = (s.torsion / polar).min(1.0);
            let ratio = s.youngs / (2.0 * s.shear) - 1.0;
            let _ = writeln!(t, "*MATERIAL, NAME=M{group}\n*ELASTIC\n{:.12e}, {ratio:.12e}", s.youngs);
            let v = m.beams[first].pieces[0].frame.v;
            let (number, count) = (|i: usize| i + 1, m.beams.len());
            let list: Vec<(usize, [usize; 2])> = (first..last).map(|i| (number(i), ends[i])).collect();
            pair(t, ["B", "C"], group, &list, count, s, part, [u, v]);
            if part < ROUND {
                // The rest of the section does not twist: its end turns freely about the axis.
                let mut list = Vec::new();
                for (i, e) in ends.iter().enumerate().take(last).skip(first) {
                    let b = &m.beams[i];
                    comment(t, &format!("node {next}: as node {}, but free to turn about the tube", e[1]));
                    let at = b.end();
                    let _ = writeln!(t, "*NODE, NSET=ALL\n{next}, {:.12e}, {:.12e}, {:.12e}", at.x, at.y, at.z);
                    list.push((2 * count + number(i), [e[0], next]));
                    for k in 1..=3 {
                        equation(t, &[(next, k, 1.0), (e[1], k, -1.0)]);
                    }
                    let f = b.pieces[0].frame;
                    let mut rows = vec![[f.u.x, f.u.y, f.u.z, 0.0], [f.v.x, f.v.y, f.v.z, 0.0]];
                    reduce(&mut rows);
                    for r in rows {
                        let mut terms: Vec<(usize, usize, f64)> = Vec::new();
                        let lead = (0..3).find(|&k| r[k] == 1.0).unwrap_or(0);
                        terms.push((next, lead + 4, 1.0));
                        terms.extend((0..3).filter(|&k| k != lead).map(|k| (next, k + 4, r[k])));
                        terms.extend((0..3).map(|k| (e[1], k + 4, -r[k])));
                        equation(t, &terms);
                    }
                    next += 1;
                }
                comment(t, &format!("D{group}, E{group}: what of {} does not twist", shape.tubes[tube].name));
                pair(t, ["D", "E"], group, &list, count, s, 1.0 - part, [u, v]);
            }
            first = last;
        }
        next
    }
}

/// Elements with a part of a section, each twice: once for bending along u, once along v.
#[expect(clippy::too_many_arguments, reason = "one card's numbers, written in two places")]
fn pair(
    t: &mut String,
    sets: [&str; 2],
    group: usize,
    list: &[(usize, [usize; 2])],
    count: usize,
    s: &frame::Section,
    part: f64,
    axes: [DVec3; 2],
) {
    // u bends with the moment about v.
    let [iu, iv] = [s.second[1] * part, s.second[0] * part];
    let rest = LEFT * iu.min(iv);
    let area = [(1.0 - LEFT) * s.area * part, LEFT * s.area * part];
    for (k, set) in sets.into_iter().enumerate() {
        let _ = writeln!(t, "*ELEMENT, TYPE=U1, ELSET={set}{group}");
        for (n, e) in list {
            let _ = writeln!(t, "{}, {}, {}", n + k * count, e[0], e[1]);
        }
        let _ = writeln!(t, "*BEAM SECTION, ELSET={set}{group}, MATERIAL=M{group}, SECTION=GENERAL");
        let (i, stiff) = ([iu, iv][k] - rest, STIFF * s.area * part / area[k]);
        let _ = writeln!(t, "{:.12e}, {i:.12e}, 0., {rest:.12e}, {stiff:.6e}", area[k]);
        let _ = writeln!(t, "{:.12e}, {:.12e}, {:.12e}", axes[k].x, axes[k].y, axes[k].z);
    }
}

/// Solves each row for a freedom of its own, whose coefficient is then 1 and is 0 in the others.
fn reduce(rows: &mut [[f64; 4]]) {
    for i in 0..rows.len() {
        let pivot = (0..3).max_by(|&a, &b| rows[i][a].abs().total_cmp(&rows[i][b].abs())).unwrap_or(0);
        let p = rows[i][pivot];
        if p.abs() < 1e-9 {
            rows[i] = [0.0; 4];
            continue;
        }
        rows[i] = rows[i].map(|x| x / p);
        rows[i][pivot] = 1.0;
        for j in (0..rows.len()).filter(|&j| j != i) {
            let f = rows[j][pivot];
            let row = rows[i];
            rows[j].iter_mut().zip(row).for_each(|(a, b)| *a -= f * b);
            rows[j][pivot] = 0.0;
        }
    }
}

/// One equation: terms of node, freedom and coefficient, their sum 0.
fn equation(t: &mut String, terms: &[(usize, usize, f64)]) {
    let terms: Vec<_> = terms.iter().filter(|x| x.2 != 0.0).collect();
    let _ = writeln!(t, "*EQUATION\n{}", terms.len());
    for four in terms.chunks(4) {
        let list: Vec<String> = four.iter().map(|(n, k, c)| format!("{n}, {k}, {c:.12e}")).collect();
        let _ = writeln!(t, "{}", list.join(", "));
    }
}

/// The end goes as a rigid body on its node: u + θ × r, θ.
fn link(t: &mut String, end: usize, n: usize, r: DVec3) {
    for k in 0..3 {
        let (i, j) = ((k + 1) % 3, (k + 2) % 3);
        equation(t, &[(end, k + 1, 1.0), (n, k + 1, -1.0), (n, i + 4, -r[j]), (n, j + 4, r[i])]);
    }
    for k in 4..=6 {
        equation(t, &[(end, k, 1.0), (n, k, -1.0)]);
    }
}

/// Holds along the axes as they are, as lines that are returned; slanting ones as equations with a node that is moved by the amount.
fn supports(t: &mut String, holds: &[Hold], nodes: &[DVec3], mut next: usize) -> String {
    let mut boundary = String::new();
    let mut known: Vec<(usize, bool)> = Vec::new();
    for h in holds {
        if known.contains(&(h.node, h.turn)) {
            continue;
        }
        known.push((h.node, h.turn));
        let mut rows: Vec<[f64; 4]> = holds
            .iter()
            .filter(|x| (x.node, x.turn) == (h.node, h.turn))
            .map(|x| [x.along.x, x.along.y, x.along.z, x.by])
            .collect();
        reduce(&mut rows);
        let from = if h.turn { 4 } else { 1 };
        for r in rows.iter().filter(|r| r[..3].iter().any(|x| *x != 0.0)) {
            let freedoms: Vec<usize> = (0..3).filter(|&k| r[k] != 0.0).collect();
            if let [k] = freedoms[..] {
                let k = k + from;
                let _ = writeln!(boundary, "{}, {k}, {k}, {:.12e}", h.node + 1, r[3]);
                continue;
            }
            comment(t, &format!("node {next}: how far the support at node {} goes, as its freedom 1", h.node + 1));
            let p = nodes[h.node];
            let _ = writeln!(t, "*NODE\n{next}, {:.12e}, {:.12e}, {:.12e}", p.x, p.y, p.z);
            let pivot = freedoms.iter().copied().find(|&k| r[k] == 1.0).unwrap_or(freedoms[0]);
            let mut terms = vec![(h.node + 1, pivot + from, r[pivot])];
            terms.extend(freedoms.iter().filter(|&&k| k != pivot).map(|&k| (h.node + 1, k + from, r[k])));
            terms.push((next, 1, -1.0));
            equation(t, &terms);
            let _ = writeln!(boundary, "{next}, 1, 1, {:.12e}", r[3]);
            next += 1;
        }
    }
    boundary
}
