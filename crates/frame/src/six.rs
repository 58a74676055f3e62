//! Six by six: forces with moments, and small rigid motions.

use geometry::{DMat3, DVec3};

/// Six numbers: a motion (m, rad) or a force with its moment (N, N m).
pub type Six = [f64; 6];

/// A matrix of six by six, by rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mat6(pub [[f64; 6]; 6]);

/// A force with its moment, or a displacement with its rotation, as six numbers.
pub fn six(a: DVec3, b: DVec3) -> Six {
    [a.x, a.y, a.z, b.x, b.y, b.z]
}

/// The first three numbers.
pub fn first(s: &Six) -> DVec3 {
    DVec3::new(s[0], s[1], s[2])
}

/// The last three numbers.
pub fn last(s: &Six) -> DVec3 {
    DVec3::new(s[3], s[4], s[5])
}

/// Sum of two.
pub fn sum(a: &Six, b: &Six) -> Six {
    std::array::from_fn(|i| a[i] + b[i])
}

/// What a rigid motion is at a place `r` from where it was taken.
pub fn moved(motion: &Six, r: DVec3) -> Six {
    six(first(motion) + last(motion).cross(r), last(motion))
}

/// A force at a place `r` from here, with its moment, as one that acts here.
pub fn brought(force: &Six, r: DVec3) -> Six {
    six(first(force), last(force) + r.cross(first(force)))
}

/// Difference of two.
pub fn difference(a: &Six, b: &Six) -> Six {
    std::array::from_fn(|i| a[i] - b[i])
}

/// The matrix S with S a = r × a.
pub fn cross(r: DVec3) -> DMat3 {
    DMat3::from_cols(DVec3::new(0.0, r.z, -r.y), DVec3::new(-r.z, 0.0, r.x), DVec3::new(r.y, -r.x, 0.0))
}

impl Mat6 {
    /// Zeros.
    pub const ZERO: Mat6 = Mat6([[0.0; 6]; 6]);

    /// From four blocks of three by three.
    pub fn blocks(a: DMat3, b: DMat3, c: DMat3, d: DMat3) -> Mat6 {
        let mut m = Mat6::ZERO;
        for i in 0..3 {
            for j in 0..3 {
                m.0[i][j] = a.col(j)[i];
                m.0[i][j + 3] = b.col(j)[i];
                m.0[i + 3][j] = c.col(j)[i];
                m.0[i + 3][j + 3] = d.col(j)[i];
            }
        }
        m
    }

    /// What a rigid motion of a node is at a place `r` from it: G = [1, Sᵀ; 0, 1].
    pub fn carry(r: DVec3) -> Mat6 {
        Mat6::blocks(DMat3::IDENTITY, cross(r).transpose(), DMat3::ZERO, DMat3::IDENTITY)
    }

    /// Two turned sets of axes, one for each half: the columns of `q` twice.
    pub fn turn(q: DMat3) -> Mat6 {
        Mat6::blocks(q, DMat3::ZERO, DMat3::ZERO, q)
    }

    /// Transposed.
    pub fn transpose(&self) -> Mat6 {
        Mat6(std::array::from_fn(|i| std::array::from_fn(|j| self.0[j][i])))
    }

    /// Product.
    pub fn times(&self, b: &Mat6) -> Mat6 {
        let mut m = Mat6::ZERO;
        for i in 0..6 {
            for k in 0..6 {
                let a = self.0[i][k];
                for j in 0..6 {
                    m.0[i][j] += a * b.0[k][j];
                }
            }
        }
        m
    }

    /// Sum.
    pub fn plus(mut self, b: &Mat6) -> Mat6 {
        for (x, y) in self.0.iter_mut().flatten().zip(b.0.iter().flatten()) {
            *x += y;
        }
        self
    }

    /// Product with [`Mat6::carry`] on its right.
    pub fn carried(mut self, r: DVec3) -> Mat6 {
        for row in &mut self.0 {
            let turned = r.cross(first(row));
            row[3] += turned.x;
            row[4] += turned.y;
            row[5] += turned.z;
        }
        self
    }

    /// Product with the transpose of [`Mat6::carry`] on its left.
    pub fn carried_back(mut self, r: DVec3) -> Mat6 {
        let [x, y, z, ..] = self.0;
        for j in 0..6 {
            self.0[3][j] += r.y * z[j] - r.z * y[j];
            self.0[4][j] += r.z * x[j] - r.x * z[j];
            self.0[5][j] += r.x * y[j] - r.y * x[j];
        }
        self
    }

    /// Product with six numbers.
    pub fn apply(&self, v: &Six) -> Six {
        std::array::from_fn(|i| (0..6).map(|j| self.0[i][j] * v[j]).sum())
    }

    /// Product of the transpose with six numbers.
    pub fn apply_transposed(&self, v: &Six) -> Six {
        let mut out = [0.0; 6];
        for (row, x) in self.0.iter().zip(v) {
            for (o, m) in out.iter_mut().zip(row) {
                *o += m * x;
            }
        }
        out
    }

    /// aᵀ · self · b.
    pub fn between(&self, a: &Mat6, b: &Mat6) -> Mat6 {
        a.transpose().times(&self.times(b))
    }

    /// Every entry multiplied.
    pub fn scaled(&self, k: f64) -> Mat6 {
        Mat6(self.0.map(|r| r.map(|x| x * k)))
    }

    /// Adds another.
    pub fn add(&mut self, b: &Mat6) {
        for (r, s) in self.0.iter_mut().zip(&b.0) {
            for (x, y) in r.iter_mut().zip(s) {
                *x += y;
            }
        }
    }

    /// Inverse of a symmetric positive definite matrix; `None` if it is not one.
    ///
    /// Rows are scaled to a unit diagonal first: flexibilities of forces and of moments differ by the square of a length.
    pub fn inverse(&self) -> Option<Mat6> {
        let mut scale = [0.0; 6];
        for (i, s) in scale.iter_mut().enumerate() {
            let d = self.0[i][i];
            if d.is_nan() || d <= 0.0 || d.is_infinite() {
                return None;
            }
            *s = d.sqrt().recip();
        }
        // Cholesky: L Lᵀ.
        let mut l = [[0.0; 6]; 6];
        for i in 0..6 {
            for j in 0..=i {
                let mut a = self.0[i][j] * scale[i] * scale[j];
                for (x, y) in l[i][..j].iter().zip(&l[j][..j]) {
                    a -= x * y;
                }
                if i == j {
                    if a.is_nan() || a <= 0.0 {
                        return None;
                    }
                    l[i][i] = a.sqrt();
                } else {
                    l[i][j] = a / l[j][j];
                }
            }
        }
        // Columns of L⁻¹, then its transpose times itself.
        let inverse: [[f64; 6]; 6] = std::array::from_fn(|c| {
            let mut column = [0.0; 6];
            for i in c..6 {
                let known: f64 = (c..i).map(|k| l[i][k] * column[k]).sum();
                column[i] = (f64::from(u8::from(i == c)) - known) / l[i][i];
            }
            column
        });
        let mut m = Mat6::ZERO;
        for i in 0..6 {
            for j in 0..=i {
                let a: f64 = (i..6).map(|k| inverse[i][k] * inverse[j][k]).sum();
                m.0[i][j] = a * scale[i] * scale[j];
                m.0[j][i] = m.0[i][j];
            }
        }
        Some(m)
    }
}
