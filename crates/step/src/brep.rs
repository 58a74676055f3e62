//! Solids by their faces: places, edges, surfaces, and how they hang together.

use geometry::{DMat3, DVec3};

use crate::spline::Spline;

/// A surface, with no bounds of its own.
#[derive(Clone, Debug, PartialEq)]
pub enum Surface {
    /// A plane.
    Plane {
        /// A place on it.
        origin: DVec3,
        /// Its unit normal.
        normal: DVec3,
    },
    /// A circular cylinder; its normal points away from its axis.
    Cylinder {
        /// A place on its axis.
        origin: DVec3,
        /// Unit.
        axis: DVec3,
        /// Unit, square to the axis: where angles round it begin, and where its seam lies.
        x: DVec3,
        /// Radius.
        r: f64,
    },
    /// A torus; its normal points away from the circle in its middle.
    Torus {
        /// Centre.
        centre: DVec3,
        /// Unit.
        axis: DVec3,
        /// Unit, square to the axis: where angles round the axis begin, and where its seam lies.
        x: DVec3,
        /// Radius of the circle in its middle.
        ring: f64,
        /// Radius of what is swept along that circle, less than `ring`.
        tube: f64,
    },
    /// A curve swept along a direction; its normal is the curve's tangent × the direction.
    Extruded {
        /// The curve.
        curve: Curve,
        /// Unit.
        along: DVec3,
    },
}

impl Surface {
    /// Signed distance of a place, positive on the normal's side. An extruded curve tells none.
    pub fn distance(&self, p: DVec3) -> f64 {
        match *self {
            Surface::Plane { origin, normal } => (p - origin).dot(normal),
            Surface::Cylinder { origin, axis, r, .. } => (p - origin).cross(axis).length() - r,
            Surface::Torus { centre, axis, ring, tube, .. } => {
                let d = p - centre;
                let z = d.dot(axis);
                ((d - axis * z).length() - ring).hypot(z) - tube
            }
            Surface::Extruded { .. } => 0.0,
        }
    }

    /// Unit normal at a place on it (or at the place on it that lies nearest).
    pub fn normal(&self, p: DVec3) -> DVec3 {
        match *self {
            Surface::Plane { normal, .. } => normal,
            Surface::Cylinder { origin, axis, .. } => {
                let d = p - origin;
                (d - axis * d.dot(axis)).normalize_or_zero()
            }
            Surface::Torus { centre, axis, ring, .. } => {
                let d = p - centre;
                let flat = d - axis * d.dot(axis);
                (d - flat.normalize_or_zero() * ring).normalize_or_zero()
            }
            Surface::Extruded { ref curve, along } => curve.tangent().cross(along).normalize_or_zero(),
        }
    }

    /// The same surface with its seam in the middle of the widest gap between some places round it.
    pub fn seam_away(self, places: &[DVec3]) -> Surface {
        let turned = |from: DVec3, axis: DVec3| {
            let x = axis.any_orthonormal_vector();
            let y = axis.cross(x);
            let mut angles: Vec<f64> = places.iter().map(|p| (p - from).dot(y).atan2((p - from).dot(x))).collect();
            angles.sort_by(f64::total_cmp);
            let Some(&first) = angles.first() else { return x };
            angles.push(first + std::f64::consts::TAU);
            let widest = angles.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])));
            let (s, c) = widest.map_or(0.0, |w| 0.5 * (w[0] + w[1])).sin_cos();
            x * c + y * s
        };
        match self {
            Surface::Cylinder { origin, axis, r, .. } => Surface::Cylinder { origin, axis, r, x: turned(origin, axis) },
            Surface::Torus { centre, axis, ring, tube, .. } => {
                Surface::Torus { centre, axis, ring, tube, x: turned(centre, axis) }
            }
            other => other,
        }
    }
}

/// A curve, running from the edge's first place to its last.
#[derive(Clone, Debug, PartialEq)]
pub enum Curve {
    /// A straight line.
    Line {
        /// A place on it.
        from: DVec3,
        /// Unit direction.
        along: DVec3,
    },
    /// An ellipse, or a circle if its half axes are equal; it runs right-handed about its normal.
    Ellipse {
        /// Centre.
        centre: DVec3,
        /// Unit.
        normal: DVec3,
        /// Unit direction of the half axis `a`.
        x: DVec3,
        /// Half axis along `x`, not less than `b`.
        a: f64,
        /// The other half axis.
        b: f64,
    },
    /// A B-spline.
    Spline(Spline),
}

impl Curve {
    /// Unit tangent in the middle (of an ellipse: where its angles begin).
    pub fn tangent(&self) -> DVec3 {
        match self {
            Curve::Line { along, .. } => *along,
            Curve::Ellipse { normal, x, .. } => normal.cross(*x),
            Curve::Spline(s) => s.middle_tangent(),
        }
    }
}

/// An edge between two places.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// Number of the place where it starts.
    pub from: usize,
    /// Number of the place where it ends.
    pub to: usize,
    /// The curve, running the same way.
    pub curve: Curve,
}

/// An edge as a part of a face's bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Use {
    /// Number of the edge.
    pub edge: usize,
    /// Whether the bound runs along it from its start to its end.
    pub forward: bool,
}

impl Use {
    /// The same the other way.
    pub fn back(self) -> Use {
        Use { forward: !self.forward, ..self }
    }
}

/// The other way along a bound.
pub fn reversed(path: &[Use]) -> Vec<Use> {
    path.iter().rev().map(|u| u.back()).collect()
}

/// A face.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// What it lies on.
    pub surface: Surface,
    /// Whether the surface's normal points out of the solid.
    pub same: bool,
    /// Its bounds, the outer one first. Seen from outside, the face lies on the left of each.
    pub bounds: Vec<Vec<Use>>,
}

/// A solid bounded by one closed shell.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Body {
    /// Name.
    pub name: String,
    /// What it is made of, in words.
    pub about: String,
    /// Places where edges end.
    pub places: Vec<DVec3>,
    /// Edges.
    pub edges: Vec<Edge>,
    /// Faces.
    pub faces: Vec<Face>,
}

impl Body {
    /// Adds a place.
    pub fn place(&mut self, p: DVec3) -> usize {
        self.places.push(p);
        self.places.len() - 1
    }

    /// Adds an edge.
    pub fn edge(&mut self, from: usize, to: usize, curve: Curve) -> Use {
        self.edges.push(Edge { from, to, curve });
        Use { edge: self.edges.len() - 1, forward: true }
    }

    /// Adds a straight edge.
    pub fn line(&mut self, from: usize, to: usize) -> Use {
        let (a, b) = (self.places[from], self.places[to]);
        self.edge(from, to, Curve::Line { from: a, along: (b - a).normalize_or_zero() })
    }

    /// Places along some uses, near enough to one another to show where they run.
    pub fn along(&self, uses: impl Iterator<Item = Use>) -> Vec<DVec3> {
        let mut out = Vec::new();
        for u in uses {
            let e = &self.edges[u.edge];
            let (a, b) = (self.places[e.from], self.places[e.to]);
            out.extend([a, b]);
            match &e.curve {
                Curve::Line { .. } => {}
                Curve::Spline(s) => out.extend(&s.points),
                Curve::Ellipse { centre, normal, x, a: long, b: short } => {
                    let y = normal.cross(*x);
                    let angle = |p: DVec3| ((p - centre).dot(y) / short).atan2((p - centre).dot(*x) / long);
                    let (from, turn) = (angle(a), (angle(b) - angle(a)).rem_euclid(std::f64::consts::TAU));
                    out.extend((1..16).map(|k| {
                        let (s, c) = (from + turn * k as f64 / 16.0).sin_cos();
                        centre + x * (long * c) + y * (short * s)
                    }));
                }
            }
        }
        out
    }

    /// Where a use starts.
    pub fn start(&self, u: Use) -> usize {
        let e = &self.edges[u.edge];
        if u.forward { e.from } else { e.to }
    }

    /// Turned by a rotation and then moved.
    pub fn moved(&self, turn: DMat3, shift: DVec3) -> Body {
        let (p, d) = (|x: DVec3| turn * x + shift, |x: DVec3| turn * x);
        let curve = |c: &Curve| match *c {
            Curve::Line { from, along } => Curve::Line { from: p(from), along: d(along) },
            Curve::Ellipse { centre, normal, x, a, b } => {
                Curve::Ellipse { centre: p(centre), normal: d(normal), x: d(x), a, b }
            }
            Curve::Spline(ref s) => Curve::Spline(s.moved(&p)),
        };
        let surface = |s: &Surface| match *s {
            Surface::Plane { origin, normal } => Surface::Plane { origin: p(origin), normal: d(normal) },
            Surface::Cylinder { origin, axis, x, r } => {
                Surface::Cylinder { origin: p(origin), axis: d(axis), x: d(x), r }
            }
            Surface::Torus { centre, axis, x, ring, tube } => {
                Surface::Torus { centre: p(centre), axis: d(axis), x: d(x), ring, tube }
            }
            Surface::Extruded { curve: ref c, along } => Surface::Extruded { curve: curve(c), along: d(along) },
        };
        Body {
            name: self.name.clone(),
            about: self.about.clone(),
            places: self.places.iter().map(|&x| p(x)).collect(),
            edges: self.edges.iter().map(|e| Edge { curve: curve(&e.curve), ..*e }).collect(),
            faces: self.faces.iter().map(|f| Face { surface: surface(&f.surface), ..f.clone() }).collect(),
        }
    }

    /// What keeps it from being a closed solid: an edge that is not used once each way, a bound that is not closed.
    pub fn flaw(&self) -> Option<String> {
        let mut uses = vec![[0u32; 2]; self.edges.len()];
        for f in &self.faces {
            for b in &f.bounds {
                for (k, u) in b.iter().enumerate() {
                    uses[u.edge][usize::from(u.forward)] += 1;
                    if self.start(u.back()) != self.start(b[(k + 1) % b.len()]) {
                        return Some("a bound of a face is not closed".to_owned());
                    }
                }
            }
        }
        uses.iter().position(|u| *u != [1, 1]).map(|k| {
            let e = &self.edges[k];
            format!("an edge from {} to {} does not part two faces", self.places[e.from], self.places[e.to])
        })
    }
}
