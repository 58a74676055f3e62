//! The lines through the wall along which one face takes over from another.

use std::f64::consts::{FRAC_PI_2, TAU};

use geometry::DVec2;

use crate::faces::{Label, Met};
use crate::wall::{JOIN, Node, Wall};

/// A place of a line, with what is met on its left and on its right.
#[derive(Clone, Copy, Debug)]
pub struct Seen {
    /// Where.
    pub p: DVec2,
    /// On the left.
    pub left: Met,
    /// On the right.
    pub right: Met,
}

/// A line from node to node.
#[derive(Clone, Debug)]
pub struct Line {
    /// Node at its start.
    pub from: usize,
    /// Node at its end.
    pub to: usize,
    /// Places along it, ends included.
    pub seen: Vec<Seen>,
    /// Whether the cut goes on across it without a step.
    pub crease: bool,
}

impl Line {
    /// Face on its left.
    pub fn left(&self) -> Label {
        self.seen[0].left.face
    }

    /// Face on its right.
    pub fn right(&self) -> Label {
        self.seen[0].right.face
    }
}

/// Why a section could not be parted.
pub enum Trouble {
    /// A line comes out where no change was seen: look there (ring, distance round).
    Unseen(usize, f64),
    /// Anything else.
    Other(String),
}

impl From<String> for Trouble {
    fn from(s: String) -> Trouble {
        Trouble::Other(s)
    }
}

/// First step of a line, m, and its longest as a part of the wall's thickness.
const STEP: (f64, f64) = (1e-6, 0.2);
/// A line of which no step as long as this can be found ends: a third face begins there, m.
const LEAST: f64 = 1e-13;
/// Half the angle in which a line is looked for ahead, rad; and by how much it may turn in a step.
const AHEAD: (f64, f64) = (1.2, 0.3);
/// Steps at most.
const STEPS: usize = 20_000;
/// A line that comes to a ring this near to where a change was seen ends there, m.
const SNAP: f64 = 2e-5;
/// Places where three faces meet that are nearer than this are one, m.
const SAME: f64 = 1e-7;
/// Round such a place lines are looked for on a circle of this radius, m, at so many places.
const ROUND: (f64, usize) = (1e-6, 256);

impl Wall<'_> {
    /// The place a step `h` away in about a direction at which `left` takes over from `right`.
    fn step(&self, p: DVec2, dir: DVec2, h: f64, spread: f64, faces: (Label, Label)) -> Option<Seen> {
        let at = |a: f64| p + dir.rotate(DVec2::from_angle(a)) * h;
        let (mut lo, mut hi) = (spread, -spread);
        let (mut left, mut right) = (self.meet(at(lo))?, self.meet(at(hi))?);
        if left.face != faces.0 || right.face != faces.1 {
            return None;
        }
        loop {
            let a = 0.5 * (lo + hi);
            if a >= lo || a <= hi || (lo - hi) * h < 1e-20 {
                break;
            }
            let m = self.meet(at(a))?;
            if m.face == faces.0 { (lo, left) = (a, m) } else { (hi, right) = (a, m) }
        }
        (right.face == faces.1).then(|| self.seen(at(0.5 * (lo + hi)), left, right))
    }

    /// A place with exactly where both faces end its fibre.
    pub fn seen(&self, p: DVec2, left: Met, right: Met) -> Seen {
        Seen { p, left: self.on(left.face, p, left.s), right: self.on(right.face, p, right.s) }
    }

    /// The ring that a place lies beyond, if any.
    fn beyond(&self, p: DVec2) -> Option<usize> {
        if self.rings[0].outline.depth(p) < 0.0 {
            Some(0)
        } else if self.rings[1].outline.depth(p) > 0.0 {
            Some(1)
        } else {
            None
        }
    }

    /// All lines. Adds the nodes at which they meet.
    pub fn lines(&mut self) -> Result<Vec<Line>, Trouble> {
        let mut lines: Vec<Line> = Vec::new();
        let mut free: Vec<bool> = vec![true; self.changes.len()];
        for k in 0..self.changes.len() {
            if !std::mem::take(&mut free[k]) {
                continue;
            }
            let c = self.changes[k];
            let p = self.nodes[c.node].p;
            let (_, d) = self.nodes[c.node].ring.unwrap_or_default();
            let o = self.rings[c.ring].outline;
            let out = o.normal(o.station(d));
            // Looking into the wall from outside, what comes before is on the left.
            let (dir, faces) = if c.ring == 0 { (-out, (c.before, c.after)) } else { (out, (c.after, c.before)) };
            let line = self.trace(c.node, p, dir, FRAC_PI_2, faces, &mut free)?;
            lines.push(line);
        }
        // Places where faces meet, from which a line may still start.
        let mut k = 0;
        while k < self.nodes.len() {
            if self.nodes[k].ring.is_none() {
                let p = self.nodes[k].p;
                for (dir, faces) in self.starts(p) {
                    let known = lines.iter().any(|l| {
                        (l.from == k && (l.left(), l.right()) == faces) || (l.to == k && (l.right(), l.left()) == faces)
                    });
                    if !known {
                        if lines.len() > 64 {
                            return Err("too many lines".to_owned().into());
                        }
                        let line = self.trace(k, p, dir, 0.5, faces, &mut free)?;
                        lines.push(line);
                    }
                }
            }
            k += 1;
        }
        let whole = std::mem::take(&mut lines);
        for l in whole {
            self.parted(l, &mut lines);
        }
        Ok(lines)
    }

    /// Directions in which lines leave a place, with the faces on their left and right.
    fn starts(&self, p: DVec2) -> Vec<(DVec2, (Label, Label))> {
        let at = |k: usize| DVec2::from_angle(TAU * (k as f64 + 0.5) / ROUND.1 as f64);
        let seen: Vec<Option<Label>> = (0..=ROUND.1).map(|k| self.meet(p + at(k) * ROUND.0).map(|m| m.face)).collect();
        let mut out = Vec::new();
        for k in 0..ROUND.1 {
            if let (Some(right), Some(left)) = (seen[k], seen[k + 1])
                && right != left
            {
                out.push(((at(k) + at(k + 1)).normalize_or_zero(), (left, right)));
            }
        }
        out
    }

    /// Follows a line from a node to wherever it ends.
    fn trace(
        &mut self,
        from: usize,
        start: DVec2,
        mut dir: DVec2,
        mut spread: f64,
        faces: (Label, Label),
        free: &mut [bool],
    ) -> Result<Line, Trouble> {
        let level = |n: &Node, f: Label| n.levels.iter().find(|m| m.face == f).copied();
        let longest = STEP.1 * (self.rings[0].outline.reach() - self.rings[1].outline.reach()).max(1e-4);
        let (mut p, mut h) = (start, STEP.0);
        let mut seen: Vec<Seen> = Vec::new();
        for _ in 0..STEPS {
            let next = self.step(p, dir, h, spread, faces).map(|s| (s, (s.p - p).normalize_or_zero()));
            let fits = |(s, d): &(Seen, DVec2)| {
                if seen.is_empty() { self.beyond(s.p).is_none() } else { h < 1e-8 || d.angle_to(dir).abs() < AHEAD.1 }
            };
            let Some((s, d)) = next.filter(fits) else {
                h *= 0.25;
                if h < LEAST {
                    return Ok(self.ended(from, p, faces, seen)?);
                }
                continue;
            };
            if let Some(ring) = self.beyond(s.p)
                && !seen.is_empty()
            {
                let (mut lo, mut hi, mut last) = (0.0, h, s);
                for _ in 0..50 {
                    let m = 0.5 * (lo + hi);
                    match self.step(p, dir, m, spread, faces) {
                        Some(x) if self.beyond(x.p).is_some() => (hi, last) = (m, x),
                        _ => lo = m,
                    }
                }
                let (k, node) = self.change_at(ring, last.p, faces, free)?;
                free[k] = false;
                // The first and the last place are those of the nodes.
                let n = &self.nodes[node];
                let ends = level(n, faces.0).zip(level(n, faces.1)).ok_or("a change has lost its faces".to_owned())?;
                seen.push(Seen { p: n.p, left: ends.0, right: ends.1 });
                return Ok(self.line(from, node, seen, faces));
            }
            seen.push(s);
            (p, dir) = (s.p, d);
            spread = AHEAD.0;
            h = (1.6 * h).min(longest);
        }
        Err("a line through the wall has no end".to_owned().into())
    }

    /// The change on a ring at which a line comes out.
    fn change_at(
        &self,
        ring: usize,
        p: DVec2,
        faces: (Label, Label),
        free: &[bool],
    ) -> Result<(usize, usize), Trouble> {
        // Coming out through the outside, what comes after is on the left.
        let (after, before) = if ring == 0 { faces } else { (faces.1, faces.0) };
        (0..self.changes.len())
            .filter(|&k| free[k])
            .map(|k| (k, self.changes[k]))
            .filter(|(_, c)| (c.ring, c.before, c.after) == (ring, before, after))
            .map(|(k, c)| (self.nodes[c.node].p.distance(p), k, c.node))
            .filter(|x| x.0 < SNAP)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|x| (x.1, x.2))
            .ok_or_else(|| Trouble::Unseen(ring, self.rings[ring].outline.distance_towards(p)))
    }

    /// The line that ends where other faces begin.
    fn ended(&mut self, from: usize, p: DVec2, faces: (Label, Label), seen: Vec<Seen>) -> Result<Line, String> {
        let last = *seen.last().ok_or("a line through the wall does not start")?;
        let near = |n: &Node| n.ring.is_none() && n.p.distance(p) < SAME;
        let k = match self.nodes.iter().position(near) {
            Some(k) => k,
            None => {
                self.nodes.push(Node { p, levels: Vec::new(), ring: None });
                self.nodes.len() - 1
            }
        };
        let p = self.nodes[k].p;
        let mut ends = Vec::new();
        for m in [last.left, last.right] {
            let m = self.on(m.face, p, m.s);
            if self.nodes[k].levels.iter().all(|l| l.face != m.face) {
                self.nodes[k].levels.push(m);
            }
            ends.extend(self.nodes[k].levels.iter().find(|l| l.face == m.face).copied());
        }
        let mut seen = seen;
        while seen.len() > 1 && seen[seen.len() - 1].p.distance(p) < SAME {
            seen.pop();
        }
        seen.push(Seen { p, left: ends[0], right: ends[1] });
        Ok(self.line(from, k, seen, faces))
    }

    fn line(&mut self, from: usize, to: usize, mut seen: Vec<Seen>, faces: (Label, Label)) -> Line {
        let p = self.nodes[from].p;
        let mut level = |face: Label, s: f64| {
            if let Some(m) = self.nodes[from].levels.iter().find(|m| m.face == face) {
                return *m;
            }
            let m = self.on(face, p, s);
            self.nodes[from].levels.push(m);
            m
        };
        let first = seen[0];
        let (left, right) = (level(faces.0, first.left.s), level(faces.1, first.right.s));
        // Steps were short at first: places crowded about a node tell nothing.
        while seen.len() > 1 && seen[0].p.distance(p) < SAME {
            seen.remove(0);
        }
        seen.insert(0, Seen { p, left, right });
        Line { from, to, seen, crease: false }
    }

    /// Between two neighbouring places of a line: the last for which something still holds, and the first for which it
    /// does not.
    fn turned(&self, a: Seen, b: Seen, faces: (Label, Label), holds: &dyn Fn(&Seen) -> bool) -> (Seen, Seen) {
        let (h, dir) = (a.p.distance(b.p), (b.p - a.p).normalize_or_zero());
        let (mut lo, mut hi, mut last, mut next) = (0.0, h, a, b);
        for _ in 0..50 {
            let m = 0.5 * (lo + hi);
            match self.step(a.p, dir, m, 0.8, faces) {
                Some(s) if holds(&s) => (lo, last) = (m, s),
                Some(s) => (hi, next) = (m, s),
                None => break,
            }
        }
        (last, next)
    }

    /// Parts a line where a step begins, ends or changes sides.
    fn parted(&mut self, line: Line, out: &mut Vec<Line>) {
        let class = |s: &Seen| {
            let d = s.left.s - s.right.s;
            if d.abs() < JOIN { 0 } else { d.signum() as i32 }
        };
        let n = line.seen.len();
        let faces = (line.left(), line.right());
        let mut from = line.from;
        let mut seen = vec![line.seen[0]];
        let cut = |wall: &mut Wall, s: Seen, from: &mut usize, seen: &mut Vec<Seen>, out: &mut Vec<Line>| {
            wall.nodes.push(Node { p: s.p, levels: vec![s.left, s.right], ring: None });
            let to = wall.nodes.len() - 1;
            seen.push(s);
            let run = std::mem::replace(seen, vec![s]);
            out.push(Line {
                from: std::mem::replace(from, to),
                to,
                crease: run.iter().all(|s| class(s) == 0),
                seen: run,
            });
        };
        for k in 1..n {
            let (a, b) = (line.seen[k - 1], line.seen[k]);
            let (ca, cb) = (class(&a), class(&b));
            if ca * cb < 0 {
                // From one side to the other: by way of where both are level.
                let (s, t) = self.turned(a, b, faces, &|s| (s.left.s > s.right.s) == (ca > 0));
                let level = if (s.left.s - s.right.s).abs() < (t.left.s - t.right.s).abs() { s } else { t };
                cut(self, level, &mut from, &mut seen, out);
            } else if ca == 0 && cb != 0 && k > 1 {
                let (s, _) = self.turned(a, b, faces, &|s| class(s) == 0);
                // A step that grows from where the line begins, or from where it was cut last, is one from there.
                if s.p.distance(seen[0].p) > SAME {
                    if s.p == a.p {
                        seen.pop();
                    }
                    cut(self, s, &mut from, &mut seen, out);
                }
            } else if ca != 0 && cb == 0 {
                let (_, t) = self.turned(a, b, faces, &|s| class(s) != 0);
                if t.p.distance(line.seen[n - 1].p) > SAME {
                    cut(self, t, &mut from, &mut seen, out);
                }
            }
            seen.push(b);
        }
        let crease = seen.iter().all(|s| class(s) == 0);
        out.push(Line { from, to: line.to, seen, crease });
    }
}

impl Wall<'_> {
    /// Where a line is crossed by the straight line square to its direction through a place beside it.
    pub fn cross(&self, p: DVec2, dir: DVec2, faces: (Label, Label), farthest: f64) -> Option<Seen> {
        let side = dir.perp();
        let look = |w: f64| self.meet(p + side * w);
        // Places ever farther to both sides: the line is where its two faces are neighbours, nearest first.
        let mut lo: Vec<(f64, Met)> = Vec::new();
        let mut hi: Vec<(f64, Met)> = Vec::new();
        let mut w = 1e-10;
        while w < farthest {
            hi.push((w, look(w)?));
            lo.push((-w, look(-w)?));
            let (l, r) = (hi[hi.len() - 1], lo[lo.len() - 1]);
            let pairs = if hi.len() == 1 { vec![(l, r)] } else { vec![(l, hi[hi.len() - 2]), (lo[lo.len() - 2], r)] };
            for (left, right) in pairs {
                if (left.1.face, right.1.face) == faces
                    && let Some(s) = self.narrowed(p, side, left, right)
                {
                    return Some(s);
                }
            }
            w *= 2.0;
        }
        None
    }

    /// The place between two others at which the left one's face gives way to the right one's.
    fn narrowed(&self, p: DVec2, side: DVec2, mut left: (f64, Met), mut right: (f64, Met)) -> Option<Seen> {
        let faces = (left.1.face, right.1.face);
        let look = |w: f64| self.meet(p + side * w);
        loop {
            let m = 0.5 * (left.0 + right.0);
            if m >= left.0 || m <= right.0 || left.0 - right.0 < 1e-20 {
                break;
            }
            let met = look(m)?;
            if met.face == faces.0 { left = (m, met) } else { right = (m, met) }
        }
        (right.1.face == faces.1).then(|| self.seen(p + side * (0.5 * (left.0 + right.0)), left.1, right.1))
    }
}
