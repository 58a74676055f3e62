//! A small linear program with one variable that costs: revised simplex with the whole inverse.
//!
//! Made for [`super::relax`]: rows Σ aₚ xₚ = b, x ≥ 0, minimise one variable that is in the basis from the start and
//! never leaves. Then the prices of the rows are one row of the inverse. Nothing that is called proven rests on these
//! numbers; they only lead to whole numbers that are tried exactly.

/// A pivot smaller than this is taken for zero: the coefficients are counts of pieces and sticks.
const LEAST_PIVOT: f64 = 1e-9;
/// Ratios that differ by less are equal; then the larger pivot is taken, which keeps the inverse clean.
const SAME_RATIO: f64 = 1e-10;

/// A variable: which one, as the caller numbers them.
pub(super) type Name = usize;

/// Coefficients of one variable, by row.
pub(super) type Sparse = Vec<(usize, f64)>;

/// The program in its present basis.
pub(super) struct Simplex {
    rows: usize,
    /// Row-major.
    inverse: Vec<f64>,
    values: Vec<f64>,
    basis: Vec<Name>,
    /// Row of the variable that costs.
    costly: usize,
    column: Vec<f64>,
    pivot_row: Vec<f64>,
}

impl Simplex {
    /// Starts from a basis whose matrix is diagonal in its first rows, `diagonal` long, and below it has `below`
    /// (entries of the same columns) and the identity: its inverse is known. Values may be negative in the lower part
    /// until [`Simplex::enter_costly`].
    pub fn new(rows: usize, diagonal: &[f64], below: &[Sparse], right: &[f64], basis: Vec<Name>) -> Self {
        let mut inverse = vec![0.0; rows * rows];
        for (at, &d) in diagonal.iter().enumerate() {
            inverse[at * rows + at] = 1.0 / d;
            for &(row, entry) in &below[at] {
                inverse[row * rows + at] = -entry / d;
            }
        }
        for row in diagonal.len()..rows {
            inverse[row * rows + row] = 1.0;
        }
        let mut simplex = Simplex {
            rows,
            inverse,
            values: vec![0.0; rows],
            basis,
            costly: 0,
            column: vec![0.0; rows],
            pivot_row: vec![0.0; rows],
        };
        for row in 0..rows {
            simplex.values[row] = (0..rows).map(|k| simplex.inverse[row * rows + k] * right[k]).sum();
        }
        simplex
    }

    /// Brings in the variable that costs, where the value is most negative for its coefficient; false if it has no
    /// negative coefficient there.
    pub fn enter_costly(&mut self, name: Name, entries: &Sparse) -> bool {
        self.transform(entries);
        let worst = (0..self.rows)
            .filter(|&row| self.column[row] < -LEAST_PIVOT)
            .map(|row| (self.values[row] / self.column[row], row))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((ratio, row)) = worst else { return false };
        self.pivot(row, ratio, name);
        self.costly = row;
        true
    }

    /// Prices of the rows.
    pub fn prices(&self) -> &[f64] {
        &self.inverse[self.costly * self.rows..(self.costly + 1) * self.rows]
    }

    /// The least value so far of the variable that costs.
    pub fn cost(&self) -> f64 {
        self.values[self.costly]
    }

    /// Variables in the basis with their values.
    pub fn solution(&self) -> impl Iterator<Item = (Name, f64)> + '_ {
        self.basis.iter().copied().zip(self.values.iter().copied())
    }

    /// Brings a variable in; false if nothing limits it or only the one that costs would leave.
    pub fn enter(&mut self, name: Name, entries: &Sparse) -> bool {
        self.transform(entries);
        let mut leaving: Option<(f64, usize)> = None;
        for row in (0..self.rows).filter(|&row| row != self.costly) {
            let step = self.column[row];
            if step <= LEAST_PIVOT {
                continue;
            }
            let ratio = self.values[row].max(0.0) / step;
            let better = leaving.is_none_or(|(least, at)| {
                ratio < least - SAME_RATIO || ratio < least + SAME_RATIO && step > self.column[at]
            });
            if better {
                leaving = Some((ratio, row));
            }
        }
        let Some((ratio, row)) = leaving else { return false };
        self.pivot(row, ratio, name);
        true
    }

    /// The column of a variable in terms of the basis.
    fn transform(&mut self, entries: &Sparse) {
        for (row, value) in self.column.iter_mut().enumerate() {
            let of = &self.inverse[row * self.rows..(row + 1) * self.rows];
            *value = entries.iter().map(|&(at, entry)| of[at] * entry).sum();
        }
    }

    fn pivot(&mut self, row: usize, ratio: f64, name: Name) {
        let rows = self.rows;
        let step = self.column[row];
        self.pivot_row.copy_from_slice(&self.inverse[row * rows..(row + 1) * rows]);
        for value in &mut self.pivot_row {
            *value /= step;
        }
        for other in 0..rows {
            let factor = self.column[other];
            let of = &mut self.inverse[other * rows..(other + 1) * rows];
            if other == row {
                of.copy_from_slice(&self.pivot_row);
            } else if factor != 0.0 {
                for (value, pivot) in of.iter_mut().zip(&self.pivot_row) {
                    *value -= factor * pivot;
                }
                self.values[other] -= factor * ratio;
            }
        }
        self.values[row] = ratio;
        self.basis[row] = name;
    }
}
