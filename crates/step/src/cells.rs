//! The cells into which rings and lines part the wall's cross-section.

use crate::faces::Label;
use crate::lines::Line;
use crate::wall::Wall;

/// A run along an arc or a line, with its cell on the left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Run {
    /// Along an arc of a ring: the outside's forward, the bore's backward.
    Arc(usize, usize),
    /// Along a line, forward or not.
    Line(usize, bool),
}

/// A cell: what its fibres meet, and its bounds, the outer one first.
#[derive(Clone, Debug)]
pub struct Cell {
    /// Face.
    pub face: Label,
    /// Bounds, the cell on the left.
    pub bounds: Vec<Vec<Run>>,
}

struct Walk<'a> {
    wall: &'a Wall<'a>,
    lines: &'a [Line],
}

impl Walk<'_> {
    fn ends(&self, r: Run) -> (usize, usize) {
        match r {
            Run::Arc(0, k) => (self.wall.arcs[0][k].from, self.wall.arcs[0][k].to),
            Run::Arc(ring, k) => (self.wall.arcs[ring][k].to, self.wall.arcs[ring][k].from),
            Run::Line(k, true) => (self.lines[k].from, self.lines[k].to),
            Run::Line(k, false) => (self.lines[k].to, self.lines[k].from),
        }
    }

    fn face(&self, r: Run) -> Label {
        match r {
            Run::Arc(ring, k) => self.wall.arcs[ring][k].face,
            Run::Line(k, true) => self.lines[k].left(),
            Run::Line(k, false) => self.lines[k].right(),
        }
    }

    /// Angle by which a run goes round the tube's axis.
    fn turn(&self, r: Run) -> f64 {
        let sum = |places: &mut dyn Iterator<Item = geometry::DVec2>| {
            let mut last = None;
            let mut sum = 0.0;
            for p in places {
                if let Some(q) = last.replace(p) {
                    sum += geometry::DVec2::angle_to(q, p);
                }
            }
            sum
        };
        match r {
            Run::Arc(ring, k) => {
                let a = self.wall.arcs[ring][k];
                let at = |i: usize| self.wall.rings[ring].at(a.start + (a.end - a.start) * i as f64 / 8.0);
                sum(&mut (0..=8).map(at)) * if ring == 0 { 1.0 } else { -1.0 }
            }
            Run::Line(k, forward) => {
                sum(&mut self.lines[k].seen.iter().map(|s| s.p)) * if forward { 1.0 } else { -1.0 }
            }
        }
    }
}

/// All cells.
pub fn cells(wall: &Wall, lines: &[Line]) -> Result<Vec<Cell>, String> {
    let walk = Walk { wall, lines };
    let mut runs: Vec<Run> = Vec::new();
    for ring in 0..2 {
        runs.extend((0..wall.arcs[ring].len()).map(|k| Run::Arc(ring, k)));
    }
    runs.extend((0..lines.len()).flat_map(|k| [Run::Line(k, true), Run::Line(k, false)]));
    let mut used = vec![false; runs.len()];
    let mut loops: Vec<(Label, Vec<Run>, f64)> = Vec::new();
    for first in 0..runs.len() {
        if used[first] {
            continue;
        }
        let face = walk.face(runs[first]);
        let (mut at, mut path) = (first, Vec::new());
        loop {
            if std::mem::replace(&mut used[at], true) {
                return Err("a cell of the cut runs into another".to_owned());
            }
            let run = runs[at];
            path.push(run);
            let (_, node) = walk.ends(run);
            if node == walk.ends(runs[first]).0 {
                break;
            }
            // On by a line if there is one with this cell on its left, else along the ring.
            let back = |r: Run| matches!((r, run), (Run::Line(a, x), Run::Line(b, y)) if a == b && x != y);
            let fits = |r: &Run| walk.ends(*r).0 == node && walk.face(*r) == face && !back(*r);
            let by_line = runs.iter().position(|r| matches!(r, Run::Line(..)) && fits(r));
            at = by_line.or_else(|| runs.iter().position(fits)).ok_or("a cell of the cut is not closed")?;
        }
        let turn = path.iter().map(|&r| walk.turn(r)).sum::<f64>() / std::f64::consts::TAU;
        loops.push((face, path, turn));
    }
    // Where no line joins the rings, one cell goes all round between a bound outside and a bound within.
    let joined = joined(wall, lines);
    let mut out: Vec<Cell> = Vec::new();
    let mut round: [Option<usize>; 2] = [None, None];
    if !joined {
        for (k, l) in loops.iter().enumerate() {
            if l.2.abs() > 0.5 {
                let side = usize::from(l.2 < 0.0);
                if round[side].replace(k).is_some() {
                    return Err("two cells of the cut go all round".to_owned());
                }
            }
        }
        let ([Some(a), Some(b)], true) =
            (round, round.iter().flatten().all(|&k| loops[k].0 == loops[round[0].unwrap_or(k)].0))
        else {
            return Err("no cell of the cut goes all round".to_owned());
        };
        out.push(Cell { face: loops[a].0, bounds: vec![loops[a].1.clone(), loops[b].1.clone()] });
    }
    for (k, (face, path, _)) in loops.into_iter().enumerate() {
        if !round.contains(&Some(k)) {
            out.push(Cell { face, bounds: vec![path] });
        }
    }
    Ok(out)
}

/// Whether lines join the outside and the bore.
fn joined(wall: &Wall, lines: &[Line]) -> bool {
    let mut on: Vec<Option<usize>> = wall.nodes.iter().map(|n| n.ring.map(|r| r.0)).collect();
    loop {
        let mut changed = false;
        for l in lines {
            match (on[l.from], on[l.to]) {
                (Some(a), Some(b)) if a != b => return true,
                (Some(a), None) => {
                    on[l.to] = Some(a);
                    changed = true;
                }
                (None, Some(b)) => {
                    on[l.from] = Some(b);
                    changed = true;
                }
                _ => {}
            }
        }
        if !changed {
            return false;
        }
    }
}
